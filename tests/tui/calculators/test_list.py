"""The list of calculators: found by topic and word, opened by few keys, reached from everywhere."""

from __future__ import annotations

from typing import Any

import pytest

from commission.calculators.catalogue import all_calculators, names
from commission.tui.calculators import listing
from commission.tui.calculators.form import CalculatorForm
from commission.tui.calculators.screen import NOTHING, Calculators
from commission.tui.home.screen import Home
from commission.tui.job.screen import JobScreen
from commission.tui.palette import Palette


async def to_the_list(app: Any, pilot: Any, until: Any, shown: Any) -> None:
    await until(pilot, lambda: "F3 Calculators" in shown(app))
    await pilot.press("f3")
    await until(pilot, lambda: isinstance(app.screen, Calculators) and "Battery (" in shown(app))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_all_calculators_stand_under_their_topics(
    app_on: Any, until: Any, shown: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await to_the_list(app, pilot, until, shown)
        text = snapshot(app, f"calculators-{size[0]}x{size[1]}")
        assert "pack-voltage" in text
        rows = [each for each in app.screen._rows if each is not None]
        assert [each.name for each in rows] == list(names())


async def test_typing_finds_by_title_topic_name_and_formula(
    app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await to_the_list(app, pilot, until, shown)
        for typed, found in (("spread", "sensor-spread"), ("sag", "pack-sag"), ("atan", "coast"),
                             ("gearing", "top-speed")):  # fmt: skip
            await pilot.press(*typed)
            await until(pilot, lambda found=found: found in shown(app), found)
            await pilot.press("escape")
        await pilot.press(*"zzz")
        await until(pilot, lambda: NOTHING in shown(app))
        await pilot.press("enter")
        assert isinstance(app.screen, Calculators)
        await pilot.press("escape")
        await until(pilot, lambda: "Battery (" in shown(app))
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(app.screen, Home))


async def test_search_highlights_the_name_that_was_typed_and_enter_opens_it(
    app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await to_the_list(app, pilot, until, shown)
        await pilot.press(*"torque")
        await until(pilot, lambda: app.screen.highlighted.name == "torque")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, CalculatorForm))
        assert app.screen.sheet.calculator.name == "torque"
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Calculators))


async def test_up_and_down_choose(app_on: Any, until: Any, shown: Any) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await to_the_list(app, pilot, until, shown)
        await pilot.press("down", "down", "up")
        assert app.screen.highlighted.name == names()[1]
        await until(pilot, lambda: "Gives  resistance, d.c." in shown(app))


async def test_find_reaches_a_calculator_by_its_name_from_any_screen(
    app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "F3 Calculators" in shown(app))
        for typed, wanted in (("wheel-speed", "wheel-speed"), ("pack-sag", "pack-sag")):
            await pilot.press("f9")
            await until(pilot, lambda: isinstance(app.screen, Palette))
            await pilot.press(*typed)
            await until(pilot, lambda wanted=wanted: f"Calculate {wanted}" in shown(app))
            await pilot.press("enter")
            await until(
                pilot, lambda wanted=wanted: getattr(app.screen, "name_of", "") == wanted, wanted
            )
        # The second form took the place of the first: one way back leads Home.
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Home))


async def test_a_job_goes_on_where_it_was_after_calculating(
    app_on: Any, start_job: Any, until: Any, shown: Any
) -> None:
    with start_job("OFR-0001") as session:
        job = session.state.opened.job
    app = app_on(job)
    async with app.run_test() as pilot:
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        before = shown(app)
        await pilot.press("f9")
        await until(pilot, lambda: isinstance(app.screen, Palette))
        await pilot.press(*"reduction")
        await until(pilot, lambda: "Calculate reduction" in shown(app))
        await pilot.press("enter")
        await until(pilot, lambda: getattr(app.screen, "is_ready", False))
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        assert shown(app) == before


def test_the_best_match_is_the_name_before_the_title_before_the_rest() -> None:
    every = all_calculators()
    assert listing.best(every, "range") is next(each for each in every if each.name == "range")
    assert listing.best(every, "sprocket") is not None
    assert listing.best((), "range") is None
