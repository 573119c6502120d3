"""Who looks a second time, and whether the second one may be the first after a while.

Independent verification (DOE-STD-1036-93, from memory): the second person does not know what the
first one saw. That a look which can be taken again may be one's own after a while, and a release
never, is a rule of ours.
"""

from __future__ import annotations

import pytest

from commission.job.plan import Plan, plan
from commission.job.witnessing import is_independent
from commission.procedure import load

SHIPPED = {slug: path for slug, _, path in load.shipped()}


def plan_of(slug: str) -> Plan:
    loaded = load.load(SHIPPED[slug])
    assert loaded.procedure is not None
    return plan(loaded.procedure)


def holds(slug: str) -> dict[str, tuple[bool, bool]]:
    """Return for each held step: whether the witness reads alone, and whether one may be alone."""
    return {
        one.id: (
            is_independent(one),
            one.step.witness is not None and one.step.witness.alone_after is not None,
        )
        for one in plan_of(slug).steps
        if one.step.hold is not None
    }


@pytest.mark.parametrize("slug", sorted(SHIPPED))
def test_a_direction_under_power_and_a_brake_cut_are_seen_by_two_who_do_not_tell(slug: str) -> None:
    held = holds(slug)
    for step in ("wheel_direction", "brake_seen"):
        if step in plan_of(slug).index and slug != "quick-persistence":
            assert held[step] == (True, True)


@pytest.mark.parametrize("slug", sorted(SHIPPED))
def test_nobody_releases_alone_nor_sends_a_rider_off_alone(slug: str) -> None:
    held = holds(slug)
    for step in ("released", "ready_to_ride"):
        if step in held:
            assert held[step] == (False, False)
