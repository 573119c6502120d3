"""The witness who reads again sees nothing of the first reading, and the two are compared."""

from __future__ import annotations

from typing import Any

import pytest

from commission.job import moves

PACK = """
id: pack
kind: measure
title: Measure the pack voltage
unit: V
hold: witness
witness: {independent: true, within: "0.3[V]"}
limits: {min: "40[V]", max: "60[V]"}
"""
NEXT = "id: lamp\nkind: confirm\ntitle: Light the lamp"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_the_first_reading_is_nowhere_on_the_witness_s_screen(
    session: Any, show: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    async with show(job, size) as (app, pilot):
        assert "53" not in app.text()
        assert "kept from the witness" in app.text()
        await pilot.press("enter")
        await pilot.pause()
        text = snapshot(app, f"witness-{size[0]}x{size[1]}")
        assert "53" not in text
        assert "assed" not in text


async def test_a_note_of_it_is_not_told_on_the_card_either(session: Any, show: Any) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    job.record([moves.note(job.state, "it was 53.17 V", "B", "Ada")])
    async with show(job, (120, 40)) as (app, _):
        assert app.text().count("kept from the witness") == 2, "the answer and the note"
        assert "53" not in app.text()


@pytest.mark.parametrize(("second", "status"), [("53.2", "passed"), ("51", "failed")])
async def test_the_two_readings_are_compared_once_the_second_is_recorded(
    session: Any, show: Any, typing: Any, second: str, status: str
) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    async with show(job) as (app, pilot):
        await pilot.press("enter")
        await pilot.pause()
        await typing(pilot, "Ben", "enter")
        await typing(pilot, second, "enter")
        await pilot.press("enter")
        await pilot.pause()
        confirmed = job.entries[-1]
        assert confirmed.kind == "hold_confirmed"
        assert confirmed.body["mode"] == "independent"
        assert confirmed.body["agrees"] is (status == "passed")
        assert "53.17 V" in confirmed.body["because"]
        assert job.state.steps["pack"].status == status
        assert "53.17" in app.text(), "what was kept from the witness is shown again"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_the_whole_record_keeps_the_first_reading_until_the_witness_has_read(
    session: Any, show: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    async with show(job, size) as (app, pilot):
        await pilot.press("f4")
        await pilot.pause()
        text = snapshot(app, f"witness-record-{size[0]}x{size[1]}")
        assert "53" not in text
        assert "assed" not in text
        assert "once the witness of this step" in text
        await pilot.press("f10")
        job.record([
            moves.confirm_hold(
                job.state, "pack", "Ben", agrees=True, now=job.now(), given={"value": "53.2"}
            )
        ])  # fmt: skip
        await pilot.press("f4")
        await pilot.pause()
        assert "53.17" in app.text()


async def test_a_correction_before_the_witness_does_not_show_the_first_reading(
    session: Any, show: Any
) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    async with show(job) as (app, pilot):
        await pilot.press("f7")
        await pilot.pause()
        assert "kept from the witness" in app.text()
        assert "53" not in app.text()


async def test_steps_read_again_keep_it_too(session: Any, show: Any) -> None:
    job = session(PACK, NEXT)
    job.submit("pack", value="53.17")
    job.record([moves.leave(job.state, "Ada")])
    async with show(job) as (app, pilot):
        await pilot.pause()
        assert "The last steps are shown again" in app.text()
        assert "Kept from the witness." in app.text()
        assert "53" not in app.text()
