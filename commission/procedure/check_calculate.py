"""Checks of calculations: inputs and outputs that exist, what limits can judge, what is given."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import CalculationError
from commission.procedure import model
from commission.procedure.expression import ExpressionError
from commission.procedure.names import calculator_of
from commission.procedure.problems import nearest
from commission.procedure.tree import Name, walk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.calculators.base import Calculator, Output
    from commission.procedure.places import Path
    from commission.procedure.problems import Problem
    from commission.procedure.review import Review

_BOUNDS = ("min", "max", "target", "tolerance")


def calculators(review: Review) -> Iterator[Problem]:
    """Tell calculators, inputs and judged outputs that do not exist."""
    for step, path, *_ in review.steps:
        if not isinstance(step, model.Calculate):
            continue
        try:
            calculator = calculator_of(step)
        except CalculationError as error:
            told = error.message.rstrip(".")
            yield review.tell((*path, "calculator"), told, hint=error.hint)
            continue
        inputs = [each.name for each in calculator.inputs]
        for name in step.inputs:
            if name not in inputs:
                hint = nearest(name, inputs) or f"It has {', '.join(inputs)}."
                told = f"{calculator.name} has no input of this name"
                yield review.tell((*path, "inputs", name), told, name, hint=hint)
        yield from _judged(review, step, path, calculator)


def _judged(
    review: Review, step: model.Calculate, path: Path, calculator: Calculator
) -> Iterator[Problem]:
    """Tell a judged output that does not exist or may not be given, and limits that do not fit."""
    if step.judge is None:
        if step.limits is not None:
            hint = "Name it under judge."
            yield review.tell((*path, "limits"), "limits on no output", hint=hint)
        return
    outputs = {each.name: each for each in calculator.outputs}
    output = outputs.get(step.judge)
    if output is None:
        hint = nearest(step.judge, outputs) or f"It has {', '.join(outputs)}."
        told = f"{calculator.name} has no output of this name"
        yield review.tell((*path, "judge"), told, step.judge, hint=hint)
        return
    if _may_be_missing(step, output):
        told, hint = _missing(step, output)
        yield review.tell((*path, "judge"), told, step.judge, hint=hint)
    if step.limits is not None:
        yield from _fitting(review, step.limits, (*path, "limits"), output)


def _fitting(review: Review, limits: model.Limits, path: Path, output: Output) -> Iterator[Problem]:
    """Tell bounds on a text or a yes/no, and `is` on a number."""
    if output.kind in {"text", "truth"}:
        what = "yes or no" if output.kind == "truth" else "a text"
        hint = "Write is: true." if output.kind == "truth" else "Write is: \"'text'\"."
        for key in _BOUNDS:
            if getattr(limits, key) is not None:
                yield review.tell((*path, key), f"{output.name} is {what}, no number", hint=hint)
    elif limits.is_ is not None:
        hint = "Write min, max or target."
        yield review.tell((*path, "is"), f"{output.name} is a number", limits.is_, hint=hint)


def missing_outputs(review: Review) -> Iterator[Problem]:
    """Tell names of outputs that are given only with an input which is not bound."""
    missing: dict[str, tuple[str, str]] = {}
    for step, *_ in review.steps:
        if isinstance(step, model.Calculate) and step.id not in review.gaps:
            for output in calculator_of(step).outputs:
                if _may_be_missing(step, output):
                    missing[f"{step.id}.{output.name}"] = _missing(step, output)
    for want in review.wants if missing else ():
        expression = review.parsed(want.source, want.choices)
        for node in walk(expression.tree) if expression is not None else ():
            if isinstance(node, Name) and node.name in missing:
                told, hint = missing[node.name]
                error = ExpressionError(f"{node.name}: {told}", node.column, hint)
                yield review.tell_expression(want.path, want.source, error)


def _may_be_missing(step: model.Calculate, output: Output) -> bool:
    return bool(output.needs) and output.needs not in step.inputs


def _missing(step: model.Calculate, output: Output) -> tuple[str, str]:
    told = f"an output that is given only with the input {output.needs}, which is not bound"
    return told, f"Bind {output.needs} under inputs of {step.id}."
