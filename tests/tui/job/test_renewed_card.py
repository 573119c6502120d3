"""One step after another in the same card: quick, and nothing of one step stays for the next."""

from __future__ import annotations

from typing import Any

from textual import events

from commission.tui.job.area import Area
from commission.tui.job.waiting import WaitArea, WaitFieldsArea
from commission.tui.widgets import Plain

STAND = """
id: stand
kind: confirm
title: Put the bike on the stand
why: The wheel turns later.
how: Both feet of the stand on level ground.
"""
CHOCK = """
id: chock
kind: confirm
title: Chock the front wheel
"""
PACK = """
id: pack
kind: measure
title: Measure the pack voltage
unit: V
limits: {min: "42[V]", max: "58.8[V]"}
"""
LEVER = """
id: lever
kind: measure
title: Measure the lever voltage
unit: V
"""
WHEEL = """
id: wheel
kind: observe
title: Open the throttle a little
options: [turns forward, turns backward]
expected: turns forward
"""
LIGHT = """
id: light
kind: observe
title: Look at the lamp
options: [lit, dark, blinks]
expected: lit
"""
CAUTION = """
id: live
kind: confirm
title: Plug the pack in
caution:
  signal: DANGER
  hazard: The pack is live.
  consequence: A short circuit burns.
  avoidance: Insulated probes and nothing metal on the hands.
"""


async def test_the_next_step_of_a_kind_is_shown_in_the_same_widgets(
    session: Any, show: Any
) -> None:
    async with show(session(STAND, CHOCK)) as (app, pilot):
        card, area = app.job._card, app.job.area
        await pilot.press("f6", "space", "enter")
        assert app.job.mode.planned.id == "chock"
        assert app.job._card is card
        assert app.job.area is area
        text = app.text()
        assert "Chock the front wheel" in text
        assert "Both feet" not in text
        assert "[ ]" in text
        await pilot.press("f6")
        assert "The wheel turns later." not in app.text()


async def test_another_kind_takes_another_area_and_a_kind_that_comes_again_its_own(
    session: Any, show: Any
) -> None:
    job = session(STAND, WHEEL, CHOCK)
    async with show(job) as (app, pilot):
        card, area = app.job._card, app.job.area
        await pilot.press("space", "enter")
        assert app.job._card is card
        assert app.job.area is not area
        assert not area.display
        assert "Space marks it" not in app.text()
        assert app.focused is app.job.area.list
        await pilot.press("1", "enter")
        assert app.job.area is area
        assert area.display
        assert app.focused is area.mark
        assert area.mark.marked == ""
        assert "turns forward" not in app.text().partition("#")[0]
        await pilot.press("enter")
        assert job.kinds() == ["opened", "answered", "answered"]


def test_what_waits_for_a_time_is_never_kept() -> None:
    assert not any(kind.is_kept() for kind in (Area, WaitArea, WaitFieldsArea))


async def test_a_refusal_and_what_was_typed_do_not_stay_for_the_next_step(
    session: Any, show: Any, typing: Any
) -> None:
    async with show(session(PACK, LEVER)) as (app, pilot):
        await pilot.press("enter")
        assert "NOT TAKEN" in app.text()
        await typing(pilot, "54.0", "enter")
        text = app.text()
        assert "lever voltage" in text
        assert "Good" not in text
        assert "NOT TAKEN" not in text
        assert app.job.area.input.value == ""
        assert app.job.area.ask.unit == "V"


async def test_nothing_stays_picked_and_a_bare_enter_does_not_pass_the_next_observation(
    session: Any, show: Any
) -> None:
    job = session(WHEEL, LIGHT)
    async with show(job) as (app, pilot):
        await pilot.press("1", "enter")
        assert app.job.area.list.option_count == 3
        await pilot.press("enter")
        assert job.kinds() == ["opened", "answered"]
        await pilot.press("2", "enter")
        assert job.given("light")["value"] == "dark"


async def test_a_reason_typed_for_one_step_is_gone_in_the_next(
    session: Any, show: Any, typing: Any
) -> None:
    async with show(session(STAND, CHOCK)) as (app, pilot):
        await pilot.press("backspace", "enter")
        await typing(pilot, "no st")
        app.job.area.mark.focus()
        await pilot.press("space", "enter")
        assert app.job.mode.planned.id == "chock"
        assert not app.job.area.why_not.display
        assert app.job.area.why_not.value == ""
        assert app.focused is app.job.area.mark


async def test_a_caution_comes_and_goes_with_its_step(session: Any, show: Any) -> None:
    async with show(session(STAND, CAUTION, CHOCK)) as (app, pilot):
        assert "DANGER" not in app.text()
        await pilot.press("space", "enter")
        assert "A short circuit burns." in app.text()
        await pilot.press("space", "enter")
        assert "DANGER" in app.text()
        assert "A short circuit burns." not in app.text()
        await pilot.press("space", "enter")
        assert "Chock the front wheel" in app.text()
        assert "DANGER" not in app.text()


async def test_an_answer_given_to_the_step_before_is_never_taken_for_the_next(
    session: Any, show: Any
) -> None:
    job = session(STAND, CHOCK)
    async with show(job) as (app, pilot):
        late = Area.Given({"value": "done"})
        await pilot.press("space", "enter")
        app.job.post_message(late)
        await pilot.pause()
        assert job.kinds() == ["opened", "answered"]
        app.job.post_message(Area.Given({"value": "done"}))
        await pilot.pause()
        assert job.kinds() == ["opened", "answered", "answered"]


async def test_a_press_of_the_mouse_before_a_step_was_shown_is_not_taken(
    session: Any, show: Any
) -> None:
    job = session(WHEEL, LIGHT)
    async with show(job) as (app, pilot):
        x, y = app.job.area.list.content_region.offset
        app.hold_keys()
        for kind in (events.MouseDown, events.MouseUp):
            app.post_message(kind(None, x, y, 0, 0, 1, False, False, False, x, y))  # noqa: FBT003
        await pilot.pause()
        assert job.kinds() == ["opened"]
        app.release_keys()
        await pilot.pause()
        await pilot.click(app.job.area.list, offset=(3, 1))
        assert job.kinds() == ["opened", "answered"]


async def test_a_text_of_the_same_height_takes_no_new_layout(session: Any, show: Any) -> None:
    async with show(session(STAND)) as (app, pilot):
        await pilot.pause()
        title = app.job.query_one(".title", Plain)
        laid_out: list[object] = []
        app.job.screen_layout_refresh_signal.subscribe(app, laid_out.append, immediate=True)
        title.show("Put it somewhere else")
        await pilot.pause()
        assert "somewhere else" in app.text()
        assert laid_out == []
        title.show("Put it somewhere else " * 8)
        await pilot.pause()
        assert laid_out
