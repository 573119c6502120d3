"""What is said after practice: which step shows it, what was missed, what happened on the way.

Where a fault can be seen is where an honest robot with the same bike and seed fails a step.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.practice.run import perform

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.practice.build import Build
    from commission.practice.events import Event

_HARMLESS = "power at the wheel"


@dataclass(frozen=True, slots=True)
class Debrief:
    """Sentences; empty ones have nothing to say."""

    shows: str
    """At which step what is wrong can be seen."""
    missed: str
    """At which step it passed all the same."""
    happened: tuple[str, ...]
    """Events of the job that can hurt or break something."""


def debrief(
    plan: Plan, build: Build, seed: int, state: JobState, events: Iterable[Event]
) -> Debrief:
    """Return what is said of a job on a bike that came as `build`, with this seed's noise."""
    honest = perform(plan, build, seed)
    happened = tuple(
        f"{_title(state, event.step)}: {event.what}" for event in events if event.kind != _HARMLESS
    )
    if not honest.failures:
        return Debrief("", "", happened)
    first = honest.failures[0]
    title = _title(state, first.step)
    answer = state.steps[first.step].answer
    passed = answer is not None and answer.verdict != "fail"
    shows = f"It can be seen at {title}: {first.because}"
    return Debrief(shows, f"Missed at {title}." if passed else "", happened)


def _title(state: JobState, step: str) -> str:
    known = step in state.plan.index
    return f"“{state.plan.planned(step).step.title}”" if known else "Before the first step"
