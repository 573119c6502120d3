"""The card of the cross-checks, and the look at them from the palette."""

from __future__ import annotations

from typing import Any, Final

import pytest

from commission.job.state import Status
from commission.tui.job.found_screen import FoundScreen
from commission.tui.job.gate import DoneArea
from commission.tui.job.taken import TakenArea

SMALL, LARGE = (80, 24), (120, 40)
FACTS: Final = """
  - {id: fuse, label: rated current of the fuse, type: quantity, unit: A}
  - {id: pack, label: largest pack current, type: quantity, unit: A}
"""
SETTINGS: Final = """
  - {id: limit, label: battery current limit, type: quantity, unit: A, equal_within: "1[A]",
     intended: "100[A]"}
"""
ROLES: Final = """
roles:
  battery_current_limit: limit
  fuse_rating: fuse
  fuse_voltage: 125[V]
  pack_current_max: pack
  pack_full_voltage: 75.6[V]
  phase_current_limit: 60[A]
  controller_voltage_max: 100[V]
  stand_switch_enabled: true
"""
STEPS: Final = (
    "id: found\nkind: read_back\ntitle: Read the settings as found\nsettings: all",
    "id: set\nkind: write\ntitle: Write the limit\nsettings: [limit]",
    """
id: crossed
kind: cross_check
title: Hold all values of this bike against each other
why: Each value can be right by itself and the bike be wrong.
on_fail: {then: concession}
""",
    "id: after\nkind: confirm\ntitle: Go on",
    """
id: keyed
kind: power_cycle
title: Switch the key off and on
cycle: key
off_for: "10[s]"
""",
)


@pytest.fixture
def crossing(session: Any) -> Any:
    """Make a job that stands at its cross-checks."""

    def make(fuse: str, pack: str) -> Any:
        job = session(*STEPS, facts=FACTS, settings=SETTINGS, rest=ROLES)
        job.submit("fuse", value=fuse)
        job.submit("pack", value=pack)
        job.submit("found", limit="60")
        job.submit("set", limit="100")
        return job

    return make


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_conflicts_stand_first_and_each_asks_why_it_is_taken_over(
    crossing: Any, show: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    job = crossing("120", "90")
    async with show(job, size) as (app, pilot):
        await pilot.pause()
        assert isinstance(app.job.area, TakenArea)
        text = app.text()
        assert "CONFLICT" in text
        assert text.index("2 conflicts") < text.index("CONFLICT")
        assert "133.3" in text
        snapshot(app, f"job-conflicts-{size[0]}x{size[1]}")


async def test_a_reason_for_each_then_a_mark_of_its_own_and_the_lead_is_asked(
    crossing: Any, show: Any
) -> None:
    job = crossing("120", "90")
    async with show(job) as (app, pilot):
        await pilot.press(*"slow", "enter", "enter", "enter")
        assert job.state.steps["crossed"].answer is None, "Enter alone takes nothing"
        await pilot.press("space", "enter")
        await pilot.pause()
        assert "concession" in app.text()
    assert job.given("crossed") == {"fuse-current": "slow", "value": True}
    assert job.state.steps["crossed"].status is Status.FAILED


async def test_without_a_conflict_reading_is_marked_and_taken(
    crossing: Any, show: Any, snapshot: Any
) -> None:
    job = crossing("160", "110")
    async with show(job, LARGE) as (app, pilot):
        assert isinstance(app.job.area, DoneArea)
        snapshot(app, "job-no-conflict-120x40")
        await pilot.press("enter")
        assert job.state.steps["crossed"].answer is None
        await pilot.press("space", "enter")
        await pilot.pause()
    assert job.state.steps["crossed"].status is Status.MARGINAL


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_the_palette_shows_them_at_any_time_and_records_nothing(
    crossing: Any, show: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    job = crossing("120", "110")
    async with show(job, size) as (app, pilot):
        before = job.state
        await pilot.press("f9", *"cross-checks", "enter")
        await pilot.pause()
        assert isinstance(app.screen, FoundScreen)
        assert "1 conflict" in app.text()
        snapshot(app, f"job-cross-checks-{size[0]}x{size[1]}")
        await pilot.press("f10")
        await pilot.pause()
        assert app.screen is app.job
    assert [entry.kind for entry in job.entries[before.seq :]] in ([], ["left"])
