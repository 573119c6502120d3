"""Checks of what one dimension does not tell apart: peak and rms, turns and angles.

Looked at where a value is bound by its bare name, to an input of a calculator or to a role: an
expression such as `sqrt(2) * limit` may well have turned it into the other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks.roles import ROLES
from commission.errors import CalculationError
from commission.procedure import model
from commission.procedure.names import calculator_of
from commission.quantities import other_convention

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.places import Path
    from commission.procedure.problems import Problem
    from commission.procedure.review import Review


def conventions(review: Review) -> Iterator[Problem]:
    """Tell bare names bound where their unit's convention is another."""
    units = _units(review)
    for path, source, expected in _bound(review):
        own = units.get(source.strip().partition(".")[0], "")
        said = other_convention(own, expected)
        if said:
            hint = f"{said} Turn it into the other in the expression, or declare it in {expected}."
            yield review.tell(path, f"a value in {own} bound as {expected}", source, expected, hint)


def _units(review: Review) -> dict[str, str]:
    """Return the declared units of facts, settings and measurements by id."""
    valued = (*review.procedure.facts, *review.procedure.settings)
    units = {each.id: each.unit for each in valued if each.unit}
    units |= {step.id: step.unit for step, *_ in review.steps if isinstance(step, model.Measure)}
    return units


def _bound(review: Review) -> Iterator[tuple[Path, str, str]]:
    """Yield where a name can be bound: the place, what stands there, the unit that is meant."""
    for role, source in review.procedure.roles.items():
        if role in ROLES and isinstance(source, str):
            yield ("roles", role), source, ROLES[role].unit
    for step, path, *_ in review.steps:
        if not isinstance(step, model.Calculate):
            continue
        try:
            meant = {each.name: each.unit for each in calculator_of(step).inputs}
        except CalculationError:
            continue  # told by another check
        for name, source in step.inputs.items():
            if name in meant and isinstance(source, str):
                yield (*path, "inputs", name), source, meant[name]
