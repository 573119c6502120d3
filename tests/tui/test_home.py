"""Home lists the bench's jobs, finds one by typing, and says what to do where there is none."""

from __future__ import annotations

from typing import Any

import pytest

from commission.errors import DamagedError, StoreError
from commission.job import moves
from commission.tui.app import CommissionApp
from commission.tui.home.opening import LOOK
from commission.tui.home.screen import Home
from commission.tui.job.screen import JobScreen
from commission.tui.notice import Notice
from commission.tui.start.screen import Start


def confirm(session: Any, step: str) -> None:
    by = next(iter(session.state.people))
    session.record(moves.submit(session.state, step, {"value": "done"}, by, session.now()))


@pytest.fixture
def three_jobs(start_job: Any) -> None:
    """One job at its beginning, one under way, one whose technician is another person."""
    for number, (by, steps) in enumerate((("Ada Nwosu", ()), ("Ada Nwosu", ("stand",)),
                                          ("Kim Sato", ("stand", "wheel"))), 1):  # fmt: skip
        with start_job(f"OFR-000{number}", by) as session:
            for step in steps:
                confirm(session, step)


async def test_empty_bench_says_what_to_do_and_by_which_key(
    app_on: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "No job yet" in shown(app))
        assert "Press F2 to start the first one" in snapshot(app, "home-empty")


@pytest.mark.usefixtures("three_jobs")
@pytest.mark.parametrize("size", [(60, 18), (80, 24), (120, 40)], ids=["60x18", "80x24", "120x40"])
async def test_jobs_are_listed_with_their_progress(
    app_on: Any, until: Any, shown: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: "Enter Open" in shown(app))
        text = snapshot(app, f"home-{size[0]}x{size[1]}")
        assert "Open jobs (3)" in text
        assert "2/3" in text
        assert "Next: Pull the brake lever" in text
        assert "Kim Sato" in text
        assert "today 09:00" in text


@pytest.mark.usefixtures("three_jobs")
async def test_typing_narrows_the_list_and_escape_shows_all(
    app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0003" in shown(app))
        await pilot.press(*"0002")
        await until(pilot, lambda: "Open jobs (1)" in shown(app))
        assert app.screen.list.job.bike.startswith("OFR-0002")
        await pilot.press(*"zz")
        await until(pilot, lambda: "No job has these words" in shown(app))
        await pilot.press("enter")
        assert isinstance(app.screen, Home)
        await pilot.press("escape")
        await until(pilot, lambda: "Open jobs (3)" in shown(app))


@pytest.mark.usefixtures("three_jobs")
async def test_enter_opens_the_highlighted_job_and_leaving_comes_back(
    app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0003" in shown(app))
        await pilot.press("down", "enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        assert app.screen.session.state.opened.bike["frame"] == "OFR-0002"
        assert app.technician == "Ada Nwosu"
        session = app.screen.session
        app.pop_screen()
        await until(pilot, lambda: isinstance(app.screen, Home) and "left" in shown(app))
        assert session.state.away


@pytest.mark.usefixtures("three_jobs")
async def test_enter_struck_twice_opens_the_job_once(app_on: Any, until: Any, shown: Any) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0003" in shown(app))
        home = app.screen
        home.action_open()
        home.action_open()
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        await pilot.pause(0.2)
        assert isinstance(app.screen, JobScreen)
        assert len(app.screen_stack) == 2


async def test_where_two_technicians_take_part_it_asks_who_is_here(
    app_on: Any, start_job: Any, until: Any, shown: Any
) -> None:
    start_job("OFR-0009", **{"Kim Sato": ("technician",)}).close()
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0009" in shown(app))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Notice))
        assert "Who is at the bench?" in shown(app)
        await pilot.press("down", "enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        assert app.technician == "Kim Sato"


async def test_a_job_held_elsewhere_is_refused_and_can_be_looked_at(
    app_on: Any, start_job: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    with start_job("OFR-0001") as held:
        confirm(held, "stand")
        async with app.run_test() as pilot:
            await until(pilot, lambda: "OFR-0001" in shown(app))
            await pilot.press("enter")
            await until(pilot, lambda: isinstance(app.screen, Notice))
            assert "is being worked on by process" in shown(app)
            assert LOOK in shown(app)
            await pilot.press("down", "enter")
            await until(pilot, lambda: "F10 Back" in shown(app))
            text = snapshot(app, "look-80x24")
            assert "READ ONLY" in text
            assert "passed" in text
            await pilot.press("f10")
            await until(pilot, lambda: isinstance(app.screen, Home))
        assert held.state.seq == 2


async def test_a_job_named_at_the_start_is_opened_at_once(
    app_on: Any, start_job: Any, until: Any
) -> None:
    with start_job("OFR-0001") as session:
        job = session.job
    app = app_on(job)
    async with app.run_test() as pilot:
        await until(pilot, lambda: isinstance(app.screen, JobScreen))


@pytest.mark.parametrize(
    "error",
    [
        StoreError("The store is in use [by another program].", "Close it."),
        DamagedError("The store is damaged.", "Restore a copy."),
    ],
    ids=["in use", "damaged"],
)
async def test_a_store_that_cannot_be_opened_is_said_on_the_screen(
    until: Any, shown: Any, error: StoreError
) -> None:
    def refuse() -> Any:
        raise error

    app = CommissionApp(opener=refuse)
    async with app.run_test() as pilot:
        await until(pilot, lambda: "cannot be shown" in shown(app))
        assert error.message in shown(app)
        assert error.hint in shown(app)
        assert "F5 tries again" in shown(app)
        await pilot.press("enter")
        assert isinstance(app.screen, Home)


async def test_text_of_a_record_is_shown_as_it_is(
    app_on: Any, start_job: Any, until: Any, shown: Any
) -> None:
    start_job("[/red]A\x1b[31mB", model="[b]x[/b]").close()
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: "Open jobs (1)" in shown(app))
        assert "[/red]A?[31mB" in shown(app)
        assert "[b]x[/b]" in shown(app)


@pytest.mark.usefixtures("three_jobs")
async def test_f2_leads_to_a_new_job_and_f10_back(app_on: Any, until: Any, shown: Any) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0003" in shown(app))
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, Start))
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Home))


@pytest.mark.usefixtures("three_jobs")
async def test_list_is_drawn_again_for_a_wider_window(app_on: Any, until: Any, shown: Any) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "OFR-0003" in shown(app))
        await pilot.press("down")
        at = app.screen.list.highlighted
        await pilot.resize_terminal(130, 40)
        await until(pilot, lambda: "█" in shown(app))
        assert app.screen.list.highlighted == at
