"""A job is ended without release only on purpose, in words that stay in the record."""

from __future__ import annotations

from typing import Any

import pytest

from commission.tui.job.form import Form
from commission.tui.job.mode import Kind

STAND = "id: stand\nkind: confirm\ntitle: Put the bike on the stand"
CHOCK = "id: chock\nkind: confirm\ntitle: Chock the front wheel"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_job_is_ended_with_outcome_and_reason(
    session: Any, show: Any, typing: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    job = session(STAND, CHOCK)
    async with show(job, size) as (app, pilot):
        await pilot.press("shift+f10")
        await pilot.pause()
        text = snapshot(app, f"end-{size[0]}x{size[1]}")
        assert "0 of 2 steps are settled" in text
        assert "NOT released" in text
        await typing(pilot, "handed back unfinished", "enter")
        await typing(pilot, "the parts never came", "enter")
        await typing(pilot, "yes", "enter")
        await pilot.pause()
        closed = job.entries[-1]
        assert closed.kind == "closed"
        assert dict(closed.body) == {
            "outcome": "handed back unfinished", "reason": "the parts never came",
        }  # fmt: skip
        assert app.job.mode.kind is Kind.ENDED
        snapshot(app, f"ended-{size[0]}x{size[1]}")
        assert "The job is handed back unfinished." in app.text()
        await pilot.press("shift+f10")
        await pilot.pause()
        assert not isinstance(app.screen, Form)


async def test_who_says_no_ends_nothing(session: Any, show: Any, typing: Any) -> None:
    job = session(STAND)
    async with show(job) as (app, pilot):
        await pilot.press("shift+f10")
        await typing(pilot, "abandoned", "enter")
        await typing(pilot, "no parts", "enter")
        await typing(pilot, "no", "enter")
        assert "NOT TAKEN: Nothing was ended." in app.text()
        await pilot.press("f10")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "answered"]


async def test_a_reason_is_asked_for(session: Any, show: Any, typing: Any) -> None:
    job = session(STAND)
    async with show(job) as (app, pilot):
        await pilot.press("shift+f10")
        await typing(pilot, "abandoned", "enter")
        await pilot.press("enter")
        assert "NOT TAKEN" in app.text()
        assert job.kinds() == ["opened"]


async def test_the_search_finds_it_until_the_job_has_ended(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(STAND)
    async with show(job) as (app, pilot):
        assert "End without release" in [one.title for one in app.job.commands()]
        await pilot.press("f9")
        await typing(pilot, "end without", "enter")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        await typing(pilot, "abandoned", "enter")
        await typing(pilot, "a trial", "enter")
        await typing(pilot, "yes", "enter")
        assert job.state.outcome == "abandoned"
        assert "End without release" not in [one.title for one in app.job.commands()]
