"""A wished output, as typed: which input gives it, the rest as given.

The input that is found is the one named, else one that was left out: needed ones first, then
alternatives, then what may be left out. What was typed, and what stands on a default, is never
replaced unasked.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute, get
from commission.calculators.inverse import Question, solve
from commission.calculators.lacking import lacking
from commission.calculators.run import default_si
from commission.calculators.typed import Calculation, parse_input
from commission.errors import CalculationError, QuantityError
from commission.quantities import parse_reading

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Calculator, Input, Output, Value

_NUMBERS: Final = frozenset({"number", "integer"})


@dataclass(frozen=True, slots=True)
class Granted:
    """A calculation whose output is as wished."""

    calculation: Calculation
    """The input that was found is among its inputs, and not among what was typed."""
    found: Input
    output: Output
    wanted: float
    """SI."""
    others: tuple[float, ...]
    """Values of the same input that give the same but lie outside the usual, SI."""


def wishes(calculator: Calculator, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed for outputs: names that are no inputs of the calculator."""
    inputs = {each.name for each in calculator.inputs}
    outputs = {each.name for each in calculator.outputs}
    return {name: text for name, text in typed.items() if name in outputs - inputs}


def grant(name: str, typed: Mapping[str, str], find: str = "") -> Granted:
    """Return the calculation in which one output is as typed; `find` names the input to be found.

    Raises:
        CalculationError: no such calculator, input or output; not exactly one wish; nothing was
            left out to be found; no value gives it, or several do, and then which.
    """
    declared = get(name)
    output, wanted = _wish(declared, wishes(declared, typed))
    texts = {each: text for each, text in typed.items() if each != output.name}
    given = {each: parse_input(declared, each, text) for each, text in texts.items()}
    refusal: CalculationError | None = None
    for over in _candidates(declared, texts, find):
        missing = lacking(declared, {*given, over.name}, attrgetter("name"))
        if missing:
            refusal = refusal or CalculationError(
                f"{name}: {' and '.join(missing)} must be given to find {over.name}.",
                "Only one input can be found.",
            )
            continue
        try:
            solution = solve(Question(name, given, over.name, output.name, wanted))
        except CalculationError as error:
            refusal = refusal or error
            continue
        inputs = _with_defaults(declared, {**given, over.name: solution.value})
        calculation = Calculation(declared, texts, inputs, compute(name, inputs))
        return Granted(calculation, over, output, wanted, solution.others)
    raise refusal or _nothing_left_out(declared, output)


def _wish(declared: Calculator, asked: Mapping[str, str]) -> tuple[Output, float]:
    """Return the one output that is wished, and its value in SI."""
    if len(asked) != 1:
        names = ", ".join(each.name for each in declared.outputs if each.kind in _NUMBERS)
        got = " and ".join(asked) or "no output"
        raise CalculationError(
            f"{declared.name}: {got} cannot be wished for at once."
            if asked
            else f"{declared.name}: there is an input to be found and no output to find it by.",
            f"Give one of {names}.",
        )
    ((name, text),) = asked.items()
    output = declared.output(name)
    if output.kind not in _NUMBERS:
        raise CalculationError(
            f"{declared.name}: {name} is no number that can be wished for.",
            "Wish for a number, like the limit that it hangs on.",
        )
    try:
        return output, parse_reading(text, output.unit).si
    except QuantityError as error:
        raise CalculationError(f"{declared.name}: {name}: {error.message}", error.hint) from error


def _candidates(declared: Calculator, typed: Mapping[str, str], find: str) -> tuple[Input, ...]:
    """Return the inputs that may be found, in the order in which they are tried."""
    numeric = [each for each in declared.inputs if each.kind in _NUMBERS]
    if find:
        named = next((each for each in numeric if each.name == find), None)
        if named is None:
            names = ", ".join(each.name for each in numeric)
            raise CalculationError(
                f"{declared.name}: {find[:60]!r} is no input that can be found.",
                f"It can be one of {names}.",
            )
        if find in typed:
            raise CalculationError(
                f"{declared.name}: {find} is given and is to be found.", "Leave its value out."
            )
        return (named,)
    closed = _shut_out(declared, typed)
    left = [
        each
        for each in numeric
        if each.name not in typed and each.name not in closed and each.default is None
    ]
    alternatives = {name for group in declared.one_of for name in group}
    return tuple(sorted(left, key=lambda each: each.optional + (each.name not in alternatives)))


def _shut_out(declared: Calculator, typed: Mapping[str, str]) -> set[str]:
    """Return the alternatives to what was typed."""
    begun = [group for group in declared.one_of if any(name in typed for name in group)]
    if not begun:
        return set()
    own = {name for group in begun for name in group}
    return {name for group in declared.one_of for name in group} - own


def _with_defaults(declared: Calculator, given: Mapping[str, Value]) -> dict[str, Value]:
    """Return the inputs in their order, defaults included."""
    every = {each.name: given.get(each.name, default_si(each)) for each in declared.inputs}
    return {name: value for name, value in every.items() if value is not None}


def _nothing_left_out(declared: Calculator, output: Output) -> CalculationError:
    names = ", ".join(each.name for each in declared.inputs if each.kind in _NUMBERS)
    return CalculationError(
        f"{declared.name}: nothing was left out that could be found by {output.name}.",
        f"Leave one of {names} out; one with a default is named with --find.",
    )
