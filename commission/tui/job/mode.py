"""What the job screen has to show now: one of few situations, told from the state alone."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from commission.job import failing, moves
from commission.job.state import Status

if TYPE_CHECKING:
    from commission.job.ask import Asking
    from commission.job.entry import Instant
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState


class Kind(StrEnum):
    """The situations."""

    ANSWER = "answer"
    CAUTION = "caution"
    HOLD = "hold"
    CONCEDE = "concede"
    STOPPED = "stopped"
    REREAD = "reread"
    LOOK = "look"
    """A step other than the open one is looked at."""
    ENDED = "ended"
    """The job has an outcome, or every step is settled."""


@dataclass(frozen=True, slots=True)
class Mode:
    """A situation: the step it is about, and what is asked."""

    kind: Kind
    planned: PlannedStep | None = None
    asking: Asking | None = None

    @property
    def place(self) -> tuple[str, str, str]:
        """What tells one card from another: kind, step and piece; cells of a table are one."""
        step = "" if self.planned is None else self.planned.id
        part = "" if self.asking is None else self.asking.part
        if self.asking is not None and self.asking.some:
            part = part.rstrip("0123456789")
        return self.kind, step, part


def mode_of(state: JobState, viewed: str, now: Instant) -> Mode:
    """Return the situation; `viewed` is the step a person chose to look at, or empty."""
    due = moves.open_step(state)
    if viewed and (due is None or viewed != due.id):
        return Mode(Kind.LOOK, state.plan.planned(viewed))
    if state.outcome:
        return Mode(Kind.ENDED)
    if state.reread:
        return Mode(Kind.REREAD)
    if state.stopped:
        return Mode(Kind.STOPPED, state.plan.planned(state.stopped))
    if due is None:
        return Mode(Kind.ENDED)
    return _at_work(state, due, now)


def _at_work(state: JobState, due: PlannedStep, now: Instant) -> Mode:
    stands = state.steps[due.id]
    if stands.status is Status.HOLD:
        return Mode(Kind.HOLD, due)
    if failing.waits_for_concession(state, due.id):
        return Mode(Kind.CONCEDE, due)
    if due.step.cautions and not stands.acknowledged:
        return Mode(Kind.CAUTION, due)
    return Mode(Kind.ANSWER, due, moves.asking(state, due.id, now))
