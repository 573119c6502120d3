"""A calculation inside a job: bound inputs from what is known, the others typed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from commission.calculators import catalogue
from commission.errors import CalculationError, QuantityError
from commission.job.ask import Ask, Asking, AskType
from commission.job.closeness import value_of
from commission.job.judge import Judgement, check, conclude
from commission.job.judge_limits import Measured, Shown, bounds, check_bounds, reason_of, words
from commission.job.kinds.handler import Handler, Look, refuse
from commission.procedure.expression import ExpressionError, UnknownValueError, parse, with_choices
from commission.quantities import parse_reading

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.calculators.base import Calculator, Input, Output, Result
    from commission.job.judge import Check
    from commission.job.judge_limits import Bounds
    from commission.job.state import Given
    from commission.procedure.expression import Value

_TYPES: dict[str, AskType] = {
    "number": "quantity", "integer": "integer", "choice": "choice", "numbers": "text",
}  # fmt: skip
_TAKEN = "value"


@dataclass(frozen=True, slots=True)
class _Sum:
    """A calculation made, or the reason why it could not be."""

    inputs: Mapping[str, Value]
    result: Result | None
    why_not: str = ""


class Calculate(Handler):
    """Asks the inputs that are not bound, by name; `value` (done) where the bound ones are enough.

    What a procedure leaves to its default or leaves out is its author's choice, not asked for.
    """

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        calculator = catalogue.get(look.step.calculator)
        needed = tuple(_ask(look, each) for each in _free(calculator, look.step.inputs))
        if any(not one.optional for one in needed):
            return needed
        taken = Ask(_TAKEN, f"Take the result of {calculator.title}", "done",
                    criterion=_criterion(look, calculator))  # fmt: skip
        return (*needed, taken)

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`: where nothing is to be typed, the result is said already."""
        asks = self.asks(look, part)
        say = look.step.title
        if all(one.optional or one.name == _TAKEN for one in asks):
            made = _calculate(look, {})
            say = made.why_not or _said(catalogue.get(look.step.calculator), made.result)
        return Asking(look.step.id, part, say, asks)

    def admit(self, look: Look, part: str, piece: Mapping[str, Given]) -> None:  # noqa: ARG002
        """See `Handler.admit`: what was typed must have a result."""
        typed = {name: given for name, given in piece.items() if name != _TAKEN}
        made = _calculate(look, {**look.parts.get("", {}), **typed})
        if typed and made.result is None:
            raise refuse(made.why_not, "Check each number and its unit.")

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:  # noqa: ARG002
        """See `Handler.read_with_instrument`: every quantity that is typed."""
        free = _free(catalogue.get(look.step.calculator), look.step.inputs)
        asks = (_ask(look, each) for each in free if look.equipment)
        return frozenset(one.name for one in asks if one.type == "quantity" and one.unit)

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`: the whole calculation is kept, so that it can be done again."""
        calculator = catalogue.get(look.step.calculator)
        made = _calculate(look, look.parts[""])
        kept: dict[str, Any] = {
            "calculator": calculator.name,
            "version": calculator.version,
            "inputs": {name: _plain(value) for name, value in made.inputs.items()},
        }
        if made.result is None:
            record = {"check": "true", "of": calculator.name, "got": False}
            return conclude([check(record, made.why_not)], **kept)
        values = {name: _plain(value) for name, value in made.result.outputs.items()}
        kept |= {"warnings": list(made.result.warnings), "values": values}
        said = _said(calculator, made.result) if look.in_words else ""
        judgement = conclude(_checks(look, calculator, made.result), said, **kept)
        if judgement.because == said:
            return judgement
        return Judgement(judgement.verdict, f"{said} {judgement.because}", judgement.judged)


def _calculate(look: Look, typed: Mapping[str, Given]) -> _Sum:
    """Return the calculation with bound inputs from what is known and `typed` for the others."""
    calculator = catalogue.get(look.step.calculator)
    inputs: dict[str, Value] = {}
    try:
        for each in calculator.inputs:
            if each.name in look.step.inputs:
                source = with_choices(look.step.inputs[each.name], each.choices)
                inputs[each.name] = source.evaluate(look.values)
            elif each.name in typed:
                inputs[each.name] = _typed(each, typed[each.name])
        return _Sum(inputs, catalogue.compute(calculator.name, inputs))
    except (UnknownValueError, ExpressionError) as error:
        return _Sum(inputs, None, f"It cannot be computed: {reason_of(error)}.")
    except (CalculationError, QuantityError) as error:
        return _Sum(inputs, None, error.diagnostics())


def _typed(each: Input, given: Given) -> Value:
    if each.kind != "numbers":
        return value_of(given)
    return tuple(parse_reading(one, each.unit).si for one in str(given).split())


def _free(calculator: Calculator, bound: Mapping[str, object]) -> tuple[Input, ...]:
    """Return the inputs to ask for: none where the bound ones are enough, those needed first."""
    begun = _begun(calculator, bound)
    others = {name for group in calculator.one_of for name in group} - set(begun)
    free = [
        each
        for each in calculator.inputs
        if each.name not in bound and not (begun and each.name in others)
    ]
    is_open = bool(calculator.one_of) and not begun
    if not is_open and not any(_is_needed(each, begun) for each in free):
        return ()
    return tuple(replace(each, optional=False) if each.name in begun else each for each in free)


def _begun(calculator: Calculator, bound: Mapping[str, object]) -> tuple[str, ...]:
    """Return the alternative that bound inputs belong to; empty where none is begun."""
    for group in calculator.one_of:
        if any(name in bound for name in group):
            return group
    return ()


def _is_needed(each: Input, begun: tuple[str, ...]) -> bool:
    return each.name in begun or (each.default is None and not each.optional)


def _ask(look: Look, each: Input) -> Ask:
    default = (
        ""
        if each.default is None
        else (f"{each.default:g}" if isinstance(each.default, float | int) else each.default)
    )
    label = each.label if each.kind != "numbers" else f"{each.label}, separated by spaces"
    return Ask(
        name=each.name,
        label=label,
        type=_TYPES[each.kind],
        unit=each.unit,
        choices=each.choices,
        criterion=each.allowed(),
        offered=default,
        probe=look.step.probe or "",
        optional=each.optional or each.default is not None,
    )


def _output(look: Look, calculator: Calculator) -> Output | None:
    """Return the output that limits judge: the one named, or the only one."""
    for output in calculator.outputs:
        if output.name == look.step.judge or len(calculator.outputs) == 1:
            return output
    return None


def _limits(look: Look, output: Output) -> Bounds:
    return bounds(look.step.limits, look.values, output.unit)


def _checks(look: Look, calculator: Calculator, result: Result) -> Iterator[Check]:
    output = _output(look, calculator)
    if look.step.limits is None or output is None:
        return
    if look.step.limits.is_ is not None:
        yield _check_is(look, output, result)
        return
    value = result.outputs.get(output.name, math.nan)
    number = float(value) if isinstance(value, float | int) else math.nan
    measured = Measured(number, name=output.label)
    limits, shown = _limits(look, output), Shown(output.unit)
    yield check_bounds(measured, limits, shown, in_words=look.in_words)


def _check_is(look: Look, output: Output, result: Result) -> Check:
    """Return the check of a yes/no or a text against the one it is to be."""
    got = result.outputs.get(output.name)
    record: dict[str, object] = {
        "check": "equal", "of": output.label, "got": got, "wanted": None, "within": 0.0,
    }  # fmt: skip
    try:
        record["wanted"] = parse(look.step.limits.is_).evaluate(look.values)
    except (UnknownValueError, ExpressionError) as error:
        return check(record, f"{output.label} cannot be judged: {reason_of(error)}.")
    said = f"{output.label}: {_plainly(got)}"
    made = check(record, f"{said}, as it must be.")
    if made.verdict == "pass":
        return made
    return check(record, f"{said}; it must be {_plainly(record['wanted'])}.")


def _plainly(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "not given" if value is None else str(value)


def _criterion(look: Look, calculator: Calculator) -> str:
    output = _output(look, calculator)
    if look.step.limits is None or output is None:
        return ""
    if look.step.limits.is_ is not None:
        try:
            return f"{output.label}: {_plainly(parse(look.step.limits.is_).evaluate(look.values))}"
        except (UnknownValueError, ExpressionError) as error:
            return f"{output.label}: not known, {reason_of(error)}"
    return f"{output.label} {words(_limits(look, output), Shown(output.unit))}"


def _said(calculator: Calculator, result: Result | None) -> str:
    if result is None:
        return ""
    parts = []
    for output in calculator.outputs:
        value = result.outputs.get(output.name)
        if isinstance(value, bool):
            parts.append(f"{output.label}: {'yes' if value else 'no'}")
        elif isinstance(value, float | int):
            parts.append(f"{output.label} {Shown(output.unit).text(value)}")
        elif value is not None:
            parts.append(f"{output.label}: {value}")
    return " ".join([f"{', '.join(parts)}.", *result.warnings])


def _plain(value: object) -> object:
    """Return a value as JSON can hold it: no tuple, no number that is none."""
    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
