"""Which names a procedure's expressions can use, and of which type each is.

fact → its value · `measure` → the reading · `choose`, `observe` → text · `confirm` → truth ·
`identify` → `step.field` · `calculate` → `step.output`, and `step.input` where it is typed ·
`series` → `step.column` (the mean), `.spread`, `.range`, `.runs` ·
`sweep` → `step.slope`, `.intercept`, `.deviation`, `.correlation` ·
`cross_check` → `step.conflicts`, `.look_again`, `.unchecked`, `.fits` (how many) ·
setting → `id.found`, `.intended`, `.written`, `.left`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import CalculationError, QuantityError
from commission.procedure import model
from commission.procedure.value_types import Number, Numbers, Text, Truth, Type
from commission.quantities import Dimension, unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.calculators.base import Calculator, Output

SETTING_PARTS: Final = ("found", "intended", "written", "left")
COUNTS: Final = ("conflicts", "look_again", "unchecked", "fits")
"""What a cross_check makes known: how many of its findings came out so."""
Named = tuple[str, Type]


def declared(procedure: model.Procedure) -> Mapping[str, Type]:
    """Return every name of the procedure with its type; those with an unknown unit are left out."""
    return declared_with_gaps(procedure)[0]


def declared_with_gaps(procedure: model.Procedure) -> tuple[dict[str, Type], frozenset[str]]:
    """Return the names with their types, and the ids whose unit or calculator is unknown."""
    names: dict[str, Type] = {}
    gaps: set[str] = set()
    things: tuple[model.Valued | model.StepBase, ...] = (
        *procedure.facts, *procedure.settings, *procedure.steps(),
    )  # fmt: skip
    for thing in things:
        try:
            names.update(_names_of(thing))
        except (QuantityError, CalculationError):
            gaps.add(thing.id)
    return names, frozenset(gaps)


def number_in(text: str | None) -> Number:
    """Return the type of a number in this unit; raise `QuantityError` for an unknown one."""
    measure = unit(text or "")
    return Number(measure.dimension, measure.is_point)


def type_of_valued(valued: model.Valued) -> Type:
    """Return the type of a fact's or setting's value; raise `QuantityError` for an unknown unit."""
    match valued.type:
        case "quantity" | "integer":
            return number_in(valued.unit)
        case "choice":
            return Text(valued.choices)
        case "text":
            return Text()
        case "yes_no":
            return Truth()


def calculator_of(step: model.Calculate) -> Calculator:
    """Return the calculator a step uses; raise `CalculationError` where there is none."""
    from commission.calculators import catalogue

    return catalogue.get(step.calculator)


def _names_of(thing: model.Valued | model.StepBase) -> Iterator[Named]:
    match thing:
        case model.Setting():
            kind = type_of_valued(thing)
            for part in SETTING_PARTS:
                yield f"{thing.id}.{part}", kind
        case model.Valued():
            yield thing.id, type_of_valued(thing)
        case model.Confirm():
            yield thing.id, Truth()
        case model.Measure():
            yield thing.id, number_in(thing.unit)
        case model.Choose() | model.Observe():
            yield thing.id, Text(thing.options)
        case model.Identify():
            for mark in thing.fields:
                yield f"{thing.id}.{mark.id}", Text()
        case _:
            yield from _computed(thing)


def _computed(step: model.Valued | model.StepBase) -> Iterator[Named]:
    """Yield the names of steps that give several numbers."""
    match step:
        case model.Calculate():
            yield from _calculation_names(step)
        case model.CrossCheck():
            for count in COUNTS:
                yield f"{step.id}.{count}", Number()
        case model.Series():
            for column in step.columns:
                yield from _column_names(f"{step.id}.{column.id}", number_in(column.unit))
        case model.Sweep():
            yield from _sweep_names(step)
        case _:
            return


def _calculation_names(step: model.Calculate) -> Iterator[Named]:
    """Yield what is typed in a calculation and what comes out of it."""
    calculator = calculator_of(step)
    outputs = {output.name: _output_type(output) for output in calculator.outputs}
    for each in calculator.inputs:
        if each.name not in step.inputs and each.name not in outputs and each.kind != "numbers":
            choice = each.kind == "choice"
            given: Type = Text(each.choices) if choice else number_in(each.unit)
            yield f"{step.id}.{each.name}", given
    for name, kind in outputs.items():
        yield f"{step.id}.{name}", kind


def _output_type(output: Output) -> Type:
    if output.kind == "text":
        return Text()
    return Truth() if output.kind == "truth" else number_in(output.unit)


def _column_names(name: str, kind: Number) -> Iterator[Named]:
    yield name, kind
    yield f"{name}.spread", Number(kind.dimension)
    yield f"{name}.range", Number(kind.dimension)
    yield f"{name}.runs", Numbers(kind.dimension, kind.point)


def _sweep_names(step: model.Sweep) -> Iterator[Named]:
    over, along = number_in(step.x.unit), number_in(step.y.unit)
    yield f"{step.id}.slope", slope_type(over, along)
    yield f"{step.id}.intercept", along
    yield f"{step.id}.deviation", Number(along.dimension)
    yield f"{step.id}.correlation", Number()


def slope_type(over: Number, along: Number) -> Number:
    """Return the type of a line's slope: `along` per `over`."""
    parts = zip(along.dimension, over.dimension, strict=True)
    return Number(Dimension(tuple(top - bottom for top, bottom in parts)))
