"""A whole short job on a virtual bike, by keys at the bench and at the card."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.record.bench import Bench
from commission.tui.practice.reviewing import ReviewScreen

if TYPE_CHECKING:
    from pathlib import Path


async def reviewed(person: Any, until: Any) -> Any:
    """Leave the job and return its review."""
    await person.at_card()
    await person.press("f10")
    if not isinstance(person.app.screen, ReviewScreen):
        await person.press("down", "enter")
    await until(person.pilot, lambda: person.app.reviews, "the review")
    return person.app.reviews[0]


async def finish(person: Any) -> None:
    await person.choose("no")
    await person.confirm()
    await person.sign("released")


async def test_a_sound_bike_is_done_and_released_in_a_narrow_window_by_keys_alone(
    practising: Any, until_cycle: Any, cycle: Any, until: Any, tmp_path: Path
) -> None:
    async with practising(size=(80, 24)) as person:
        person.by_keys = True
        await until_cycle(person)
        assert person.step == "key_cycle"
        await cycle(person)
        assert person.step == "time_for_cold"
        await finish(person)
        assert person.job.session.state.outcome == "released"
        review = await reviewed(person, until)
        assert review.verdict == "RIGHT"
        job = person.job.session.job
    with Bench.open(tmp_path / "practice.db", create=False) as bench:
        (line,) = bench.jobs()
        assert (line.job, line.practice, line.status) == (job, True, "released")


async def test_a_fault_is_caught_by_one_who_looks(
    practising: Any, until_cycle: Any, until: Any
) -> None:
    async with practising(fault="phases-exchanged") as person:
        await until_cycle(person)
        while person.step == "wheel_direction" and not person.job.session.state.stopped:
            await person.read_caution()
            await person.choose(await person.spin())
        assert person.job.session.state.stopped == "wheel_direction"
        review = await reviewed(person, until)
    assert review.verdict == "CAUGHT"
    assert any("You CAUGHT it." in line for part in review.paragraphs for line in part.lines)


async def test_a_fault_is_missed_by_one_who_types_what_is_expected(
    practising: Any, until_cycle: Any, cycle: Any, until: Any
) -> None:
    async with practising(fault="phases-exchanged") as person:
        person.spin = expected
        await until_cycle(person)
        await cycle(person)
        await finish(person)
        review = await reviewed(person, until)
    assert review.verdict == "MISSED"
    lines = [line for part in review.paragraphs for line in part.lines]
    assert any(line.endswith("You MISSED it: the step passed.") for line in lines)
    assert "A rider meets" in [part.heading for part in review.paragraphs]


async def expected() -> str:
    return "turns forward"
