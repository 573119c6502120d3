"""Checks of roles and cross-checks: roles and checks that exist, values that come in time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks import catalogue
from commission.crosschecks.roles import ROLES
from commission.procedure import model
from commission.procedure.problems import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.problems import Problem
    from commission.procedure.review import Review


def roles(review: Review) -> Iterator[Problem]:
    """Tell roles that do not exist, and settings bound to two roles that are two settings."""
    bound = review.procedure.roles
    for name in bound:
        if name not in ROLES:
            hint = nearest(name, ROLES) or "`commission cross-check --list` has all roles."
            yield review.tell(("roles", name), "no such role", name, hint=hint)
    drag, lever = bound.get("drag_current"), bound.get("lever_regen_current")
    if drag is not None and drag == lever:
        hint = "Bind only the one it is."
        told = "drag when the throttle closes and braking by a lever are two settings"
        yield review.tell(("roles", "drag_current"), told, drag, hint=hint)


def cross_checks(review: Review) -> Iterator[Problem]:
    """Tell steps whose checks do not exist, or for which no role is bound."""
    for step, path, *_ in review.steps:
        if not isinstance(step, model.CrossCheck):
            continue
        if not review.procedure.roles:
            hint = "Bind roles in the head, such as `fuse_rating: fuse_rating`."
            yield review.tell(path, "a cross_check without any role", step.id, "roles", hint)
        for index, name in enumerate(() if isinstance(step.checks, str) else step.checks):
            if name not in catalogue.names():
                hint = nearest(name, catalogue.names())
                hint = hint or "`commission cross-check --list` has all of them."
                yield review.tell((*path, "checks", index), "no such cross-check", name, hint=hint)


def roles_in_time(review: Review) -> Iterator[Problem]:
    """Warn of roles whose value comes only after the last cross_check."""
    steps = [each for each in review.steps if isinstance(each.step, model.CrossCheck)]
    if not steps:
        return
    for role, source in review.procedure.roles.items():
        parsed = review.parsed(source)
        for name in sorted(parsed.names if parsed is not None else ()):
            known = review.by_id.get(name.partition(".")[0])
            if known is not None and known.order > steps[-1].order:
                told = f"a role that is known only after the last cross_check, {steps[-1].step.id}"
                yield review.warn(("roles", role), told, name)
