"""What a calculation shows while its inputs are typed.

Inputs and where they come from, result, formula, source, cautions. A state and texts in, lines out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.calculators.catalogue import compute, get
from commission.calculators.typed import parse_input
from commission.errors import CalculationError, QuantityError
from commission.job.values import values
from commission.procedure.expression import UnknownValueError, parse
from commission.quantities import show
from commission.tui.calculated import answer_lines, paragraphs
from commission.tui.job.told import Told

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Calculator, Value
    from commission.job.state import JobState
    from commission.procedure.model import Calculate


def input_lines(step: Calculate, state: JobState) -> list[str]:
    """Return the bound inputs with their values and the expression each comes from."""
    calculator = get(step.calculator)
    known = values(state)
    lines = []
    for name, expression in step.inputs.items():
        declared = next((one for one in calculator.inputs if one.name == name), None)
        if declared is None:
            continue
        try:
            value = _words(parse(expression).evaluate(known), declared.unit)
        except UnknownValueError as error:
            value = f"not known: {error}"
        is_name = any(character.isalpha() for character in str(expression).partition("[")[0])
        source = f"   from {expression}" if is_name else ""
        lines.append(f"{declared.label} = {value}{source}")
    return lines


def result_lines(step: Calculate, state: JobState, typed: Mapping[str, str]) -> list[str]:
    """Return outputs and warnings for the bound inputs and `typed`, or why there are none yet."""
    calculator = get(step.calculator)
    try:
        result = compute(step.calculator, _inputs(step, calculator, state, typed))
    except UnknownValueError as error:
        return [f"No result yet: {error}"]
    except (CalculationError, QuantityError) as error:
        return [f"No result: {error.diagnostics()}"]
    warnings = (f"Implausible: {warning}" for warning in result.warnings)
    return [*answer_lines(calculator, result.outputs), *warnings]


def told_of(step: Calculate, state: JobState) -> list[Told]:
    """Return bound inputs, formula, source, cautions and the sentence no result is without."""
    bound = input_lines(step, state)
    behind = dict(paragraphs(get(step.calculator)))
    return [
        *([Told("With", "\n".join(bound))] if bound else []),
        *(Told(word, behind[word]) for word in ("Formula", "Note", "Source")),
    ]


def _inputs(
    step: Calculate, calculator: Calculator, state: JobState, typed: Mapping[str, str]
) -> dict[str, Value]:
    known = values(state)
    inputs: dict[str, Value] = {
        name: parse(expression).evaluate(known) for name, expression in step.inputs.items()
    }
    for declared in calculator.inputs:
        text = typed.get(declared.name, "").strip()
        if text:
            inputs[declared.name] = parse_input(calculator, declared.name, text)
    return inputs


def _words(value: Value, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return ", ".join(show(one, unit) for one in value)
    return show(value, unit)
