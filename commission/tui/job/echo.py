"""How what is being typed is understood, said before it counts. Pure: text in, text out.

Nothing is repaired: what is not understood says why and what to type instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import QuantityError
from commission.quantities import parse_reading, show, unit
from commission.tui.job.scale import Bounds

if TYPE_CHECKING:
    from commission.job.ask import Ask

TAKE_OFFERED: Final = "="
"""Typed alone, it takes what is offered."""
_YES: Final = ("yes", "y")
_NO: Final = ("no", "n")
_OPEN: Final = Bounds(None, None)


@dataclass(frozen=True, slots=True)
class Echo:
    """What a typed text stands for."""

    said: str
    """One line for the person."""
    text: str = ""
    """What is given for it; the typed text but for short forms of choices."""
    understood: bool = False
    value: float | None = None
    """Of a number, in SI."""
    outside: bool = False
    """Whether it lies outside the limits known here; the verdict is the record's."""


def echo(ask: Ask, typed: str, bounds: Bounds = _OPEN) -> Echo:
    """Return how `typed` is understood for `ask`; an empty text is understood where optional."""
    text = typed.strip()
    if text == TAKE_OFFERED and ask.offered:
        text = ask.offered
    if not text:
        return Echo(_invitation(ask), understood=ask.optional)
    match ask.type:
        case "quantity" | "integer":
            return _number(ask, text, bounds)
        case "choice":
            return _choice(ask, text)
        case "yes_no":
            return _yes_no(text)
        case _:
            return Echo(f"= {text}  ({len(text)} characters)", text, understood=True)


def _invitation(ask: Ask) -> str:
    if ask.offered:
        return f"Type it, or {TAKE_OFFERED} to take {ask.offered}."
    match ask.type:
        case "choice" if _are_numbered(ask):
            return "   ".join(f"{at} {choice}" for at, choice in enumerate(ask.choices, 1))
        case "choice":
            return f"One of: {', '.join(ask.choices)}"
        case "yes_no":
            return "Type yes or no."
        case _:
            return "May stay empty: Enter goes on." if ask.optional else ""


def _number(ask: Ask, text: str, bounds: Bounds) -> Echo:
    try:
        reading = parse_reading(text, ask.unit)
        value = reading.si
    except QuantityError as error:
        return Echo(f"Not understood: {error.diagnostics()}")
    if ask.type == "integer" and reading.number != int(reading.number):
        return Echo(f"Not understood: {text} is no whole number. Type it without decimals.")
    said = f"= {reading}"
    if reading.unit != ask.unit and unit(reading.unit).text != ask.unit:
        said = f"{said} = {show(value, ask.unit)}"
    if bounds.is_open:
        return Echo(said, text, understood=True, value=value)
    inside = bounds.holds(value)
    said = f"{said}, {'within' if inside else 'OUTSIDE'} {_limits(bounds)}"
    return Echo(said, text, understood=True, value=value, outside=not inside)


def _limits(bounds: Bounds) -> str:
    low, high = bounds.labels
    if bounds.low is not None and bounds.high is not None:
        return f"{low} to {high}"
    return f"at least {low}" if bounds.high is None else f"at most {high}"


def _choice(ask: Ask, text: str) -> Echo:
    is_number = text.isdecimal() and text.isascii()
    if is_number and _are_numbered(ask) and 1 <= int(text) <= len(ask.choices):
        choice = ask.choices[int(text) - 1]
    else:
        fits = [one for one in ask.choices if one.casefold().startswith(text.casefold())]
        exact = [one for one in fits if one.casefold() == text.casefold()]
        if len(exact or fits) != 1:
            what = "could be several" if fits else "is none"
            return Echo(f"Not understood: {text} {what} of: {', '.join(ask.choices)}.")
        choice = (exact or fits)[0]
    return Echo(f"= {choice}", choice, understood=True)


def _are_numbered(ask: Ask) -> bool:
    """Whether a choice may be typed by its place; never where choices look like numbers."""
    return not any(choice[:1].isdigit() for choice in ask.choices)


def _yes_no(text: str) -> Echo:
    if text.casefold() in _YES:
        return Echo("= yes", "yes", understood=True)
    if text.casefold() in _NO:
        return Echo("= no", "no", understood=True)
    return Echo(f"Not understood: {text} is neither yes nor no.")
