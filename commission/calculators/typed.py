"""The edge: inputs as a person types them, with units, turned into SI; the only place with text."""

from __future__ import annotations

import difflib
import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.calculators.catalogue import compute, get
from commission.calculators.run import default_si
from commission.errors import CalculationError, QuantityError
from commission.quantities import Reading, parse_reading, show, unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Answer, Calculator, Input, Output, Result, Value


@dataclass(frozen=True, slots=True)
class Calculation:
    """A calculation from typed inputs: what was typed, what was computed with, what came out."""

    calculator: Calculator
    typed: Mapping[str, str]
    """By input name, as typed; what took its default is not here."""
    inputs: Mapping[str, Value]
    """By input name in SI, defaults included; what was left out is not here."""
    result: Result


def compute_typed(name: str, typed: Mapping[str, str]) -> Calculation:
    """Return the calculation for typed inputs such as `{"series": "14", "full": "4.2V"}`.

    Raises:
        CalculationError: no such calculator, or an input is unknown, missing, unreadable or outside
            its domain.
    """
    declared = get(name)
    given = {each: parse_input(declared, each, text) for each, text in typed.items()}
    result = compute(name, given)
    inputs: dict[str, Value] = {}
    for each in declared.inputs:
        value = given.get(each.name, default_si(each))
        if value is not None:
            inputs[each.name] = value
    return Calculation(declared, dict(typed), inputs, result)


@functools.lru_cache(maxsize=256)
def parse_input(calculator: Calculator, name: str, text: str) -> Value:
    """Return one typed input in SI; a bare number is in the input's own unit.

    Raises:
        CalculationError: the calculator has no such input, or the text is none of its values.
    """
    declared = next((each for each in calculator.inputs if each.name == name), None)
    if declared is None:
        names = [each.name for each in calculator.inputs]
        near = difflib.get_close_matches(name, names, n=2, cutoff=0.4)
        hint = f"Did you mean {' or '.join(near)}?" if near else f"It takes {', '.join(names)}."
        raise CalculationError(f"{calculator.name} has no input {name[:60]!r}.", hint)
    try:
        match declared.kind:
            case "choice":
                return text.strip()
            case "numbers":
                return tuple(each.si for each in several(text, declared.unit))
            case _:
                return parse_reading(text, declared.unit).si
    except QuantityError as error:
        raise CalculationError(f"{calculator.name}: {name}: {error.message}", error.hint) from error


def several(text: str, expected: str) -> tuple[Reading, ...]:
    """Return numbers separated by spaces or semicolons; a unit at the end holds for all.

    Raises:
        QuantityError: nothing was typed, or one of them is no number of that dimension.
    """
    parts = text.replace(";", " ").split()
    if not parts:
        raise QuantityError("Nothing was typed.", "Type numbers separated by spaces: 84.0 84.2.")
    if any("," in part for part in parts):
        raise QuantityError(
            f"{text[:40]!r} has a comma.",
            "Separate numbers by spaces, and write decimals with a point: 84.0 84.2.",
        )
    own = ""
    if len(parts) > 1 and not any(letter.isdigit() for letter in parts[-1]):
        own = parts.pop()
    return tuple(parse_reading(f"{each} {own}", expected) for each in parts)


def show_answer(output: Output, value: Answer, digits: int = 4) -> str:
    """Return one output for a person: `58.80 V`, `yes`, a text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if output.kind == "integer":
        return f"{value:.0f} {output.unit}".strip()
    return show(value, output.unit, digits)


def show_value(declared: Input, value: Value) -> str:
    """Return one SI input for a person, in its own unit, without digits nobody typed."""
    if isinstance(value, str | bool):
        return str(value)
    if isinstance(value, tuple):
        numbers = " ".join(_plainly(declared, each) for each in value)
    else:
        numbers = _plainly(declared, value)
    return f"{numbers} {declared.unit}".strip()


def _plainly(declared: Input, si: float) -> str:
    return f"{unit(declared.unit).from_si(si):.9g}"
