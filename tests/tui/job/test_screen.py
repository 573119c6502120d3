"""The job's screen: one step at a time, recorded before it is said, and never lost."""

from __future__ import annotations

CONFIRM = """
id: stand
kind: confirm
title: Put the bike on the stand
why: The wheel turns later.
how: Both feet of the stand on level ground.
"""
MEASURE = """
id: pack
kind: measure
title: Measure the pack voltage
unit: V
limits: {min: "42.0[V]", max: "58.8[V]"}
caution: {signal: DANGER, hazard: The pack is live., consequence: A short circuit burns., avoidance: Insulated probes and nothing metal on the hands.}
"""


async def test_a_step_is_confirmed_by_space_and_enter_only(session, show) -> None:
    job = session(CONFIRM, MEASURE)
    async with show(job) as (app, pilot):
        assert "Put the bike on the stand" in app.text()
        await pilot.press("enter", "enter")
        assert job.kinds() == ["opened"]
        assert "NOT TAKEN" in app.text()
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "answered"]
        assert "The pack is live." in app.text()


