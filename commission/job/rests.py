"""Which names a step rests on: every expression in it, by kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.procedure.expression import parse, with_choices
from commission.procedure.model import (
    Calculate,
    CrossCheck,
    Dwell,
    Identify,
    Observe,
    PowerCycle,
    Series,
    Sweep,
)
from commission.procedure.role_bindings import names_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from commission.job.plan import FactStep
    from commission.procedure.model import Expression, Procedure, Step


def step_names(step: Step | FactStep, procedure: Procedure) -> frozenset[str]:
    """Return the dotted names that a step's own expressions use."""
    names = set(condition_names(step))
    for source in _expressions(step, procedure):
        if source is not None:
            names |= parse(source).names
    if isinstance(step, Observe):
        names |= with_choices(step.expected, step.options).names
    if isinstance(step, CrossCheck):
        names |= names_of(step, procedure)
    return frozenset(names)


def condition_names(step: Step | FactStep) -> frozenset[str]:
    """Return the dotted names that a step's `when` uses."""
    return frozenset() if step.when is None else parse(step.when).names


def observed_names(step: PowerCycle, steps: Iterable[Step | FactStep]) -> frozenset[str]:
    """Return the dotted names behind what a power cycle's repeated observations expect."""
    names: set[str] = set()
    for other in steps:
        if isinstance(other, Observe) and other.id in step.observe:
            names |= with_choices(other.expected, other.options).names
    return frozenset(names)


def _expressions(step: Step | FactStep, procedure: Procedure) -> Iterator[Expression | None]:
    if step.limits is not None:
        limits = step.limits
        yield from (limits.min, limits.max, limits.target, limits.tolerance, limits.is_)
    for equipment in procedure.equipment:
        if step.instrument is not None and equipment.id == step.instrument:
            yield equipment.resolution
    if step.kind == "fact":
        yield from step.fact.range or ()
    else:
        yield from _of_kind(step)


def _of_kind(step: Step) -> Sequence[Expression | None]:
    found: Sequence[Expression | None] = ()
    match step:
        case Calculate():
            found = tuple(step.inputs.values())
        case Identify():
            found = tuple(mark.expected for mark in step.fields)
        case Series():
            found = tuple(
                source
                for one in step.columns
                for source in (one.min, one.max, one.target, one.within, one.spread, one.range)
            )
        case Sweep():
            found = (*step.points, step.deviation, step.slope_min, step.slope_max)
        case Dwell():
            found = (step.duration,)
        case PowerCycle():
            found = (step.off_for, step.below)
        case _:
            pass
    return found
