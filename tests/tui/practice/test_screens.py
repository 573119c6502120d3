"""The screens of practice: choosing, the bench beside the job, a robot at work, the review."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from commission.cli.practice import loaded_procedure
from commission.practice import opened as opening_job
from commission.practice.panel.world import World
from commission.record.places import practice as practice_store
from commission.tui.home.look import Look
from commission.tui.practice.alone import PracticeApp
from commission.tui.practice.choosing import ChoosePractice
from commission.tui.practice.earlier import EarlierPractice
from commission.tui.practice.opening import Wanted
from commission.tui.practice.reviewing import ReviewScreen
from commission.tui.practice.screen import PracticeJob
from commission.tui.practice.watching import WatchedJob

if TYPE_CHECKING:
    from collections.abc import Callable

SIZES = [(80, 24), (120, 40)]
NAMES = ["80x24", "120x40"]


@pytest.fixture(autouse=True)
def same_everywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hold the room's clock still, and give jobs one name."""
    real = World

    class Still(real):  # type: ignore[misc, valid-type]
        def __post_init__(self) -> None:
            self.real_s = None
            super().__post_init__()
            self._began_us = 1_935_750_000_000_000

    monkeypatch.setattr(opening_job, "World", Still)
    monkeypatch.setattr("commission.record.bench.any_letters", lambda: "BBBB")
    monkeypatch.setattr("commission.record.bench.Bench.open.__func__.__kwdefaults__", {
        "create": True, "clocks": None, "letters": lambda: "BBBB",
    })  # fmt: skip


async def begun(pilot: Any, until: Any) -> Any:
    """Start the first procedure with a sound bike and return its screen."""
    app = pilot.app
    choose = app.screen
    await until(pilot, lambda: choose._offered, "the procedures")
    await pilot.press("enter", "down", "enter")
    await until(pilot, lambda: isinstance(app.screen, PracticeJob), "the job")
    return app.screen


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
async def test_the_choice_offers_the_shortest_job_first(
    until: Any, snapshot: Callable[..., str], size: Any, request: Any
) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: app.screen._offered, "the procedures")
        text = snapshot(app, f"practice-choice-{request.node.callspec.id}")
        assert "15 min  Quick persistence check" in text
        assert "F11 or Tab goes to the bench" in text


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
async def test_the_bench_stands_beside_the_card_or_in_its_place(
    until: Any, snapshot: Callable[..., str], size: Any, request: Any
) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=size) as pilot:
        job = await begun(pilot, until)
        await pilot.press("f11", *["down"] * 9, "enter", *["up"] * 9)
        await pilot.press("enter", "down", "down", "enter", "down", "right", "right")
        await pilot.pause()
        text = snapshot(app, f"practice-bench-{request.node.callspec.id}")
        assert "just turns FORWARD" in text
        assert ("Read the frame number" in text) is (size[0] > 110)
        await pilot.press("tab")
        await pilot.pause()
        assert not job.panel.has_focus_within
        assert "PRACTICE" in snapshot(app, f"practice-card-{request.node.callspec.id}")
        await pilot.press("f11")
        await pilot.pause()
        assert job.panel.list.highlighted == 3, "the bench is as it was left"


async def test_the_route_and_lists_say_practice(until: Any, shown: Callable[..., str]) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=(80, 24)) as pilot:
        await begun(pilot, until)
        for key in ("f2", "f3", "f4"):
            await pilot.press(key)
            await pilot.pause()
            assert "PRACTICE" in shown(app), key
            await pilot.press("escape")
            await pilot.pause()


async def test_a_value_is_typed_at_the_program_and_a_wrong_one_is_refused(
    until: Any, shown: Callable[..., str]
) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=(120, 40)) as pilot:
        job = await begun(pilot, until)
        await pilot.press("f11", "enter", "end", "up", "up", "enter", "down", "enter", "end")
        await pilot.press("up", "up", "up")
        await pilot.pause()
        row = job.panel._row.id
        assert row == "speed_limit"
        await pilot.press("enter", *"fast", "enter")
        await pilot.pause()
        assert "not a number" in shown(app)
        await pilot.press(*["backspace"] * 4, *"31", "enter")
        await pilot.pause()
        assert "31 km/h *" in shown(app)
        assert job.panel.list.has_focus
        await pilot.press("escape")
        await pilot.pause()
        assert job.panel.top.at == "bike"
        await pilot.press("escape")
        await pilot.pause()
        assert not job.panel.has_focus_within


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
async def test_a_robot_works_the_real_screen_and_can_be_stepped(
    until: Any, snapshot: Callable[..., str], size: Any, request: Any
) -> None:
    loaded = loaded_procedure("direction-reverts")
    app: Any = PracticeApp(Wanted(loaded, "direction-not-stored", None, watch=True))
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: isinstance(app.screen, WatchedJob), "the job")
        job = app.screen
        await pilot.press("space")
        before = job.session.state.seq
        await pilot.press("enter")
        await pilot.pause()
        assert job.session.state.seq == before + 1
        for _ in range(13 - job.session.state.seq):
            await pilot.press("enter")
        await pilot.pause()
        text = snapshot(app, f"practice-robot-{request.node.callspec.id}")
        assert "ROBOT, stopped" in text
        await pilot.press("space", "up", "up")
        await until(pilot, lambda: job._ended is not None, "the end")
        assert job.session.state.stopped == "key_cycles"
        await pilot.press("f10")
        await until(pilot, lambda: app.reviews, "the review")
        await pilot.pause()
        text = snapshot(app, f"practice-review-{request.node.callspec.id}")
        assert "CAUGHT" in text
        assert "The robot CAUGHT it." in " ".join(text.split())
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, ChoosePractice), "the choice")


async def test_leaving_in_the_middle_asks_and_tells_what_was_wrong(until: Any) -> None:
    loaded = loaded_procedure("quick-persistence")
    app: Any = PracticeApp(Wanted(loaded, "phases-exchanged"))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, PracticeJob), "the job")
        job = app.screen
        await pilot.press("f10")
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is job, "the first choice is to stay"
        await pilot.press("f10", "down", "enter")
        await until(pilot, lambda: isinstance(app.screen, ReviewScreen), "the review")
        await until(pilot, lambda: app.reviews, "what was found")
        assert app.reviews[0].verdict == "LEFT"
        assert app.reviews[0].paragraphs[0].lines[0].startswith("Two motor")


async def test_practice_jobs_are_listed_apart_and_can_be_looked_at(
    until: Any, shown: Callable[..., str]
) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=(80, 24)) as pilot:
        await begun(pilot, until)
        await pilot.press("f10", "down", "enter")
        await until(pilot, lambda: app.reviews, "the review")
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, ChoosePractice), "the choice")
        await pilot.press("f4")
        await until(pilot, lambda: "practice, left" in shown(app), "the list")
        assert isinstance(app.screen, EarlierPractice)
        assert practice_store().is_file()
        assert not practice_store().with_name("bench.db").exists()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Look), "the job")
        assert "PRACTICE, READ ONLY" in shown(app)


async def test_a_fault_is_chosen_by_name(until: Any, shown: Callable[..., str]) -> None:
    app: Any = PracticeApp(Wanted())
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.screen._offered, "the procedures")
        await pilot.press("enter", "down", "down", "down", "enter")
        await pilot.pause()
        await pilot.press(*"phases", "enter")
        await pilot.pause()
        assert re.search(r"It will have: .*phases-exchanged", " ".join(shown(app).split()))
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, PracticeJob), "the job")
        assert app.screen.world.prepared.fault.id == "phases-exchanged"
