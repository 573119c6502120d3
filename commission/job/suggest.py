"""What to do next, in one sentence for a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job import failing, release
from commission.job.moves_guard import open_step
from commission.job.state import Status

if TYPE_CHECKING:
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState, StepState


def suggest(state: JobState) -> str:
    """Return what to do next: answer, retry, remedy, another person, a concession, the lead."""
    if state.opened is None:
        return "Start the job."
    if state.outcome:
        return f"Nothing more to do: the job is {state.outcome}."
    return _interrupted(state) or _at_work(state)


def _interrupted(state: JobState) -> str:
    if state.away:
        return "Take the work up again."
    if state.reread:
        return "Read the last steps again, then go on."
    return _stopped(state) if state.stopped else ""


def _at_work(state: JobState) -> str:
    due = open_step(state)
    return _settled(state) if due is None else _open(state, due)


def _stopped(state: JobState) -> str:
    title = state.plan.planned(state.stopped).step.title
    return f"The job is stopped, for “{title}” failed: a lead looks at it and lets the job go on."


def _settled(state: JobState) -> str:
    hindrances = release.hindrances(state, state.at)
    if hindrances:
        return f"Every step is settled, but {'; '.join(hindrances)}."
    return "Every step is settled."


def _open(state: JobState, due: PlannedStep) -> str:
    stands, title = state.steps[due.id], due.step.title
    if stands.status is Status.HOLD:
        return f"Another person, a {due.step.hold}, confirms “{title}” before work goes on."
    if stands.status is Status.FAILED:
        return _failed(due, stands)
    if due.step.cautions and not stands.acknowledged:
        return f"Read the caution of “{title}” and acknowledge it."
    if stands.status is Status.DUE_AGAIN and stands.due is not None:
        return f"Do “{title}” again: it is {stands.due}."
    if due.remedy_of is not None:
        parent = state.plan.planned(due.remedy_of).step.title
        return f"Remedy for “{parent}”: {title}."
    return f"{title}."


def _failed(due: PlannedStep, stands: StepState) -> str:
    title, rule = due.step.title, failing.on_fail(due.step)
    if not stands.is_open:
        return f"“{title}” failed: a {rule.concession_by} gives a concession, or a lead resumes."
    if stands.failures == 0:
        return f"Do “{title}” again, now that its remedy is done."
    return f"“{title}” failed: do it again (retry {stands.failures} of {rule.retry})."
