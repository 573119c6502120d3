"""The job's screen over the real record: what was confirmed is there whatever ends the app."""

from __future__ import annotations

from typing import Any

from commission.tui.job.screen import JobScreen


async def test_quitting_in_the_middle_is_recorded_and_the_job_can_be_taken_up_again(
    bench: Any, start_job: Any, app_on: Any, until: Any
) -> None:
    session = start_job("TRY-0001")
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_job(session)
        await until(pilot, lambda: isinstance(app.screen, JobScreen), "the job's screen")
        await pilot.pause()
        await pilot.press("space", "enter")
        assert session.recent(1)[0].kind == "answered"
        await pilot.press("ctrl+q")
    from commission.record.bench import Bench

    with Bench.open(bench.places.store) as reopened, reopened.resume(session.job) as again:
        assert [entry.kind for entry in again.recent(2)] == ["answered", "left"]
        assert again.state.away
