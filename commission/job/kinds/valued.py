"""Facts and settings: how a typed value is asked for, and whether it is plausible.

A *fact* outside its plausible range is refused. A setting that was *read* in the controller is
recorded whatever it is, since that is what stands there; what is implausible is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.job.ask import Ask, AskType
from commission.job.closeness import ROUNDING, given_of, shown, value_of
from commission.job.judge_limits import number
from commission.procedure.expression import (
    ExpressionError,
    UnknownValueError,
    with_choices,
)
from commission.quantities import show_number, unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.state import Given
    from commission.procedure.expression import Value
    from commission.procedure.model import Fact, Setting, Valued

_TYPES: Final[dict[str, AskType]] = {
    "quantity": "quantity",
    "integer": "integer",
    "choice": "choice",
    "text": "text",
    "yes_no": "yes_no",
}


@dataclass(frozen=True, slots=True)
class Span:
    """A plausible range in SI, both ends included."""

    low: float
    high: float
    unit: str

    def holds(self, value: Value) -> bool:
        """Return whether a value lies in it; what is no number always does."""
        if isinstance(value, bool | str | tuple):
            return True
        slack = ROUNDING * max(abs(self.low), abs(self.high))
        return self.low - slack <= float(value) <= self.high + slack

    def __str__(self) -> str:
        return f"{self._end(self.low)} to {self._end(self.high)} {self.unit}".strip()

    def _end(self, si: float) -> str:
        text = show_number(unit(self.unit).from_si(si))
        return text.rstrip("0").rstrip(".") if "." in text else text


def span(valued: Valued, values: Mapping[str, Value]) -> Span | None:
    """Return the plausible range, or None where there is none or it rests on something unknown."""
    if valued.range is None:
        return None
    try:
        low, high = number(valued.range[0], values), number(valued.range[1], values)
    except (UnknownValueError, ExpressionError):
        return None
    if low is None or high is None:
        return None
    return Span(low, high, valued.unit or "")


def ask(valued: Valued, name: str, *, criterion: str = "", offered: str = "") -> Ask:
    """Return the ask for a fact's or a setting's value, under `name` in the given mapping."""
    return Ask(
        name=name,
        label=valued.label,
        type=_TYPES[valued.type],
        unit=valued.unit or "",
        choices=valued.choices if valued.type == "choice" else (),
        criterion=criterion,
        offered=offered,
    )


def offered_default(fact: Fact, values: Mapping[str, Value]) -> str:
    """Return the text a fact's default is offered as; empty where there is none."""
    if fact.default is None:
        return ""
    try:
        value = with_choices(fact.default, fact.choices).evaluate(values)
    except (UnknownValueError, ExpressionError):
        return ""
    return typed_text(given_of(_as_declared(fact, value), fact.unit or ""))


def typed_text(given: Given) -> str:
    """Return what would be typed to give `given`: `84.0`, `yes`, `forward`."""
    if isinstance(given, dict):
        return str(given.get("typed", ""))
    return shown(given) if isinstance(given, bool) else str(given)


def implausible(valued: Valued, given: Given, values: Mapping[str, Value]) -> str:
    """Return a sentence where the value lies outside the plausible range; empty where it is in."""
    limits = span(valued, values)
    if limits is None or limits.holds(value_of(given)):
        return ""
    return f"{valued.label} {shown(given)} is outside the plausible range, {limits}."


def intended(setting: Setting, values: Mapping[str, Value], found: Given) -> tuple[Given, str]:
    """Return what a setting is to be, and why that cannot be said (empty where it can).

    Without an intended value a setting is to stay as found.
    """
    if setting.intended is None:
        return (found, "") if found is not None else (None, f"{setting.id}.found has no value")
    try:
        value = with_choices(setting.intended, setting.choices).evaluate(values)
    except UnknownValueError as error:
        return None, f"{error.name} has no value"
    except ExpressionError as error:
        return None, error.message.rstrip(".")
    return given_of(_as_declared(setting, value), setting.unit or ""), ""


def computed_from(setting: Setting) -> tuple[str, ...]:
    """Return the names a setting's intended value rests on, sorted."""
    if setting.intended is None:
        return ()
    return tuple(sorted(with_choices(setting.intended, setting.choices).names))


def _as_declared(valued: Valued, value: Value) -> Value:
    """Return a value in the type declared: a version written `2.1` is text, `7` a number."""
    if valued.type in {"text", "choice"} and not isinstance(value, str):
        return f"{value:g}" if isinstance(value, float) else str(value)
    if valued.type == "yes_no" and isinstance(value, str):
        return value.casefold() in {"yes", "true"}
    return value
