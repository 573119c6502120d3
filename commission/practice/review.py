"""What a practice job came to: what was wrong, where it could be seen, what was caught or missed.

Measured against the same bike done by the honest robot with the same seed: where it fails a step,
the fault could be seen there. Pure: from the record and the bike as it was left, to sentences.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.job import moves
from commission.job.state import Status
from commission.practice.judging import effects
from commission.practice.run import perform

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from commission.job.entry import Entry
    from commission.job.state import JobState
    from commission.practice.bike import Bike
    from commission.practice.events import Event
    from commission.practice.preparing import Prepared
    from commission.practice.run import Run

HAZARDS: Final = {
    "backward under power": "The first throttle after any start is the smallest that moves it.",
    "runs away": "Everybody is clear of the wheel whenever the drive is allowed.",
    "live contact": "Isolate, wait, measure the bus; only then do hands go to terminals.",
    "inrush": "The pack is connected through its pre-charge only.",
    "reversed polarity": "The pack's voltage is measured, with its sign, before it is connected.",
    "drive in the sweep": "The throttle is swept in neutral.",
    "off the stand": "The driven wheel is in the air before the drive is allowed.",
    "hands at the wheel": "Neutral first, then hands.",
}
"""What would have avoided each event that can hurt."""


@dataclass(frozen=True, slots=True)
class Failed:
    """A step that failed, and the record's reason."""

    step: str
    because: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A heading and what stands under it."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Review:
    """All of it; `verdict` is its sum in capitals."""

    verdict: str
    summary: str
    paragraphs: tuple[Paragraph, ...]


def review(
    bike: Bike,
    prepared: Prepared,
    state: JobState,
    failed: Sequence[Failed],
    stopped_at: str = "",
    who: str = "You",
) -> Review:
    """Return what became of a practice job.

    Args:
        bike: as it was left.
        prepared: as it came.
        state: the job as it was left.
        failed: what failed in it, see `failed_in`.
        stopped_at: the step at which the bike let nobody go on, where one did.
        who: did it.
    """
    met = effects(bike, prepared.fault, prepared.sound)
    run = perform(state.plan, prepared.build, prepared.seed)
    seen = _seen(run)
    verdict, summary = _verdict(state, prepared, failed, met, seen, stopped_at, who)
    parts = [_what_was_wrong(prepared), _where(state, seen, failed, who), _riders(state, met),
             _hazards(state, bike.events)]  # fmt: skip
    return Review(verdict, summary, tuple(part for part in parts if part is not None))


def failed_in(entries: Iterable[Entry]) -> tuple[Failed, ...]:
    """Return each failure of a job's record."""
    return tuple(
        Failed(str(entry.step), str(entry.body.get("because", "")))
        for entry in entries
        if entry.kind in ("answered", "corrected") and entry.body.get("verdict") == "fail"
    )


def lines(told: Review, width: int = 80) -> Iterator[str]:
    """Yield a review as plain text in lines of at most `width` where words allow."""
    yield told.verdict
    yield from textwrap.wrap(told.summary, width)
    for part in told.paragraphs:
        yield ""
        yield part.heading
        for line in part.lines:
            yield from textwrap.wrap(line, width, initial_indent="  ", subsequent_indent="    ")


def _seen(run: Run) -> tuple[Failed, ...]:
    """Return the steps at which an honest look shows that something is wrong, each once."""
    found = {each.step: Failed(each.step, each.because) for each in reversed(run.failures)}
    steps = tuple(found.values())[::-1]
    if run.ended.how == "stopped" and run.ended.step not in found:
        return (*steps, Failed(run.ended.step, run.ended.why))
    return steps


def _verdict(
    state: JobState,
    prepared: Prepared,
    failed: Sequence[Failed],
    met: Sequence[str],
    seen: Sequence[Failed],
    stopped_at: str,
    who: str,
) -> tuple[str, str]:
    if _is_let_go(state):
        return _released(prepared, met, seen)
    open_step = moves.open_step(state)
    if not state.stopped and seen and open_step is not None and seen[-1].step == open_step.id:
        # Nobody gets further than this: the bike itself does not let them.
        stopped_at = stopped_at or open_step.id
    if state.stopped or state.outcome or stopped_at:
        at = _title(state, state.stopped or stopped_at or (failed[-1].step if failed else ""))
        if prepared.fault is None:
            return "FALSE ALARM", f"The bike was sound, and the job stopped at “{at}”."
        return "CAUGHT", f"The job stopped at “{at}” before anybody rode the bike."
    if {each.step for each in seen} & {each.step for each in failed}:
        return "FOUND", f"{who} left before the end; what is wrong had been seen."
    return "LEFT", f"{who} left before the job came to an end."


def _is_let_go(state: JobState) -> bool:
    """Whether the bike goes back to its rider: released, or nothing was left to do."""
    return state.outcome == "released" or (not state.outcome and moves.open_step(state) is None)


def _released(prepared: Prepared, met: Sequence[str], seen: Sequence[Failed]) -> tuple[str, str]:
    if met and not seen:
        text = "The bike was released with it. This procedure does not show it to anybody."
        return "ESCAPED", text
    if met:
        return "MISSED", "The bike was released, and its rider meets what was wrong."
    if prepared.fault is None:
        return "RIGHT", "The bike was sound, and it was released."
    return "FOUND AND MENDED", "The bike was released, and its rider meets nothing wrong."


def _what_was_wrong(prepared: Prepared) -> Paragraph:
    fault = prepared.fault
    if fault is None:
        return Paragraph("What was wrong", ("Nothing: the bike came as it should.",))
    return Paragraph(
        "What was wrong",
        (
            f"{fault.title} ({fault.id}; {fault.severity}).",
            f"For the rider: {fault.effect}",
            f"Noticed by: {fault.noticed}",
        ),
    )


def _where(
    state: JobState, seen: Sequence[Failed], failed: Sequence[Failed], who: str
) -> Paragraph | None:
    """Return where an honest look shows it, and what was done there; None where nothing is."""
    said = [
        f"{_title(state, each.step)}: {each.because} {who} {_done(state, each.step, failed)}"
        for each in seen
    ]
    known = {each.step for each in seen}
    own = [
        f"{_title(state, each.step)}: {each.because} The honest job passed it."
        for each in {each.step: each for each in failed}.values()
        if each.step not in known
    ]
    return Paragraph("At which step", (*said, *own)) if said or own else None


def _done(state: JobState, step: str, failed: Sequence[Failed]) -> str:
    if any(each.step == step for each in failed):
        return "CAUGHT it."
    open_step = moves.open_step(state)
    if open_step is not None and open_step.id == step:
        return "ended here."
    answer = state.steps[step].answer
    if answer is not None and answer.verdict != "fail":
        return "MISSED it: the step passed."
    if state.steps[step].status in (Status.NOT_APPLICABLE, Status.DORMANT):
        return "had not to do it."
    return "did not get there."


def _riders(state: JobState, met: Sequence[str]) -> Paragraph | None:
    if not met:
        return None
    heading = "A rider meets" if _is_let_go(state) else "As it stands, a rider would meet"
    return Paragraph(heading, tuple(met))


def _hazards(state: JobState, events: Sequence[Event]) -> Paragraph | None:
    told = tuple(
        f"{_title(state, event.step) or 'Before the first step'}: {event.what} "
        f"{HAZARDS[event.kind]}"
        for event in events
        if event.kind in HAZARDS
    )
    return Paragraph("Hazards on the way", told or ("None.",))


def _title(state: JobState, step: str) -> str:
    return state.plan.planned(step).step.title if step in state.plan.index else ""
