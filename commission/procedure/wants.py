"""What each expression of a procedure must be: one `Want` per expression, with its place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from commission.crosschecks.roles import ROLES
from commission.errors import CalculationError, QuantityError
from commission.procedure import model
from commission.procedure.names import calculator_of, number_in, slope_type, type_of_valued
from commission.procedure.role_bindings import setting_of
from commission.procedure.value_types import Number, Numbers, Text, Truth, Type

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.calculators.base import Input, Output
    from commission.procedure.places import Path
    from commission.procedure.review import Review


class Want(NamedTuple):
    """An expression and what it must give."""

    path: Path
    source: model.Expression
    kind: Type | None
    """None where any number does, or where the type is not known for a reason told elsewhere."""
    choices: tuple[str, ...] = ()
    """Texts that may stand without quotes."""
    amount: bool = False
    """A distance on a scale: never a point on it."""
    share: bool = False
    """May also be a percentage of the value."""


def wants(review: Review) -> Iterator[Want]:
    """Yield every expression of a procedure with what it must be."""
    procedure = review.procedure
    if procedure.takes is not None:
        yield Want(("takes",), procedure.takes, number_in("s"), amount=True)
    for index, tool in enumerate(procedure.equipment):
        if tool.resolution is not None:
            yield Want(("equipment", index, "resolution"), tool.resolution, None, amount=True)
    for index, fact in enumerate(procedure.facts):
        path: Path = ("facts", index)
        yield from _valued(path, fact, "default", fact.default)
    for index, setting in enumerate(procedure.settings):
        path = ("settings", index)
        yield from _valued(path, setting, "intended", setting.intended)
        if setting.equal_within is not None:
            yield Want(
                (*path, "equal_within"), setting.equal_within, _known(setting),
                amount=True, share=True,
            )  # fmt: skip
    for name, source in procedure.roles.items():
        if name in ROLES:
            yield _bound(name, source, review)
    for located in review.steps:
        yield from _given(located.path, located.step, Truth(), "when")
        yield from _of_step(located.step, located.path)
        yield from _of_witness(located.step, located.path)


def _bound(name: str, source: model.Expression, review: Review) -> Want:
    """Return what a role's binding must be; the bare id of a setting stands for its value."""
    role = ROLES[name]
    setting = setting_of(source, review.settings)
    kind: Type = Truth() if role.kind == "truth" else Text(role.choices)
    if role.kind == "number":
        kind = number_in(role.unit)
    said = f"{setting}.intended" if setting else source
    return Want(("roles", name), said, kind, role.choices)


def _known(valued: model.Valued) -> Type | None:
    try:
        return type_of_valued(valued)
    except QuantityError:
        return None


def _number(text: str) -> Number | None:
    try:
        return number_in(text)
    except QuantityError:
        return None


def _valued(
    path: Path, valued: model.Valued, key: str, source: model.Expression | None
) -> Iterator[Want]:
    kind = _known(valued)
    if source is not None:
        yield Want((*path, key), source, kind, valued.choices)
    for index, bound in enumerate(valued.range or ()):
        yield Want((*path, "range", index), bound, kind)


def _of_witness(step: model.StepBase, path: Path) -> Iterator[Want]:
    if step.witness is not None:
        inner, how = (*path, "witness"), step.witness
        yield from _given(inner, how, number_in("s"), "alone_after", amount=True)
        kind = _number(step.unit) if isinstance(step, model.Measure) else None
        yield from _given(inner, how, kind, "within", amount=True, share=True)


def _of_step(step: model.StepBase, path: Path) -> Iterator[Want]:
    match step:
        case model.Measure():
            yield from _limits(step, path, _number(step.unit))
        case model.Calculate():
            yield from _calculation(step, path)
        case model.Observe():
            yield Want((*path, "expected"), step.expected, Text(step.options), step.options)
        case model.Identify():
            for index, mark in enumerate(step.fields):
                yield from _given((*path, "fields", index), mark, Text(), "expected")
        case model.Series():
            for index, column in enumerate(step.columns):
                yield from _column((*path, "columns", index), column)
        case model.Sweep():
            yield from _sweep(step, path)
        case model.PowerCycle() | model.Dwell():
            yield from _timed(step, path)


def _timed(step: model.PowerCycle | model.Dwell, path: Path) -> Iterator[Want]:
    time = number_in("s")
    if isinstance(step, model.Dwell):
        yield Want((*path, "duration"), step.duration, time, amount=True)
        return
    yield Want((*path, "off_for"), step.off_for, time, amount=True)
    yield from _given(path, step, number_in("V"), "below")


def _given(path: Path, holder: Any, kind: Type | None, keys: str, **how: bool) -> Iterator[Want]:  # noqa: ANN401
    for key in keys.split():
        source = getattr(holder, key)
        if source is not None:
            yield Want((*path, key), source, kind, **how)  # type: ignore[arg-type]  # flags only


def _limits(step: model.StepBase, path: Path, kind: Type | None) -> Iterator[Want]:
    if step.limits is not None:
        inner = (*path, "limits")
        yield from _given(inner, step.limits, kind, "min max target")
        yield from _given(inner, step.limits, kind, "tolerance", amount=True, share=True)


def _column(path: Path, column: model.Column) -> Iterator[Want]:
    kind = _number(column.unit)
    yield from _given(path, column, kind, "min max target")
    yield from _given(path, column, kind, "within spread range", amount=True)


def _sweep(step: model.Sweep, path: Path) -> Iterator[Want]:
    over, along = _number(step.x.unit), _number(step.y.unit)
    for index, point in enumerate(step.points):
        yield Want((*path, "points", index), point, over)
    yield from _given(path, step, along, "deviation", amount=True)
    slope = slope_type(over, along) if over and along else None
    yield from _given(path, step, slope, "slope_min slope_max", amount=True)


def _calculation(step: model.Calculate, path: Path) -> Iterator[Want]:
    try:
        calculator = calculator_of(step)
    except CalculationError:
        return
    inputs = {each.name: each for each in calculator.inputs}
    for name, source in step.inputs.items():
        if name in inputs:
            yield Want((*path, "inputs", name), source, _input_type(inputs[name]))
    for output in calculator.outputs:
        if output.name == step.judge:
            yield from _judged(step, path, output)


def _judged(step: model.Calculate, path: Path, output: Output) -> Iterator[Want]:
    if output.kind not in {"text", "truth"}:
        yield from _limits(step, path, _number(output.unit))
    elif step.limits is not None and step.limits.is_ is not None:
        kind = Text() if output.kind == "text" else Truth()
        yield Want((*path, "limits", "is"), step.limits.is_, kind)


def _input_type(declared: Input) -> Type | None:
    if declared.kind == "choice":
        return Text(declared.choices)
    number = _number(declared.unit)
    if declared.kind == "numbers" and number is not None:
        return Numbers(number.dimension, number.point)
    return number
