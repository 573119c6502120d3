"""What a failure leads to: done again, remedies and then again, a stop, or a concession."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job import step_changes
from commission.job.state import Status
from commission.procedure.model import OnFail

if TYPE_CHECKING:
    from commission.job.plan import FactStep, PlannedStep
    from commission.job.state import Answer, JobState, StepState
    from commission.job.working import Working
    from commission.procedure.model import Step

DEFAULT: Final = OnFail(retry=1)
"""Where a step says nothing: it may be done once more, then the job stops."""
_NOT_BEGUN: Final = frozenset({Status.TODO, Status.FAILED})


def on_fail(step: Step | FactStep) -> OnFail:
    """Return what a step's failure leads to."""
    return step.on_fail or DEFAULT


def retries_left(step: Step | FactStep, stands: StepState) -> int:
    """Return how often the step may fail and simply be done again, before anything else follows."""
    return max(0, on_fail(step).retry - stands.failures)


def waits_for_concession(state: JobState | Working, step: str) -> bool:
    """Return whether a failed step has nothing left but a concession (or a lead's leave)."""
    planned = state.plan.planned(step)
    stands = state.steps[step]
    return (
        stands.status is Status.FAILED
        and not stands.is_open
        and on_fail(planned.step).then == "concession"
        and not remedies_pending(state, step)
    )


def remedies_pending(state: JobState | Working, step: str) -> bool:
    """Return whether a remedy step of `step` is still to be done."""
    return any(
        not state.steps[remedy].status.settled for remedy in state.plan.remedies.get(step, ())
    )


def fail(job: Working, planned: PlannedStep, answer: Answer, reason: str = "") -> None:
    """Record a failed answer and open what it leads to."""
    name = planned.id
    rule = on_fail(planned.step)
    stands = step_changes.failed(job.steps[name], answer, reason)
    remedies = job.plan.remedies.get(name, ())
    if stands.failures <= rule.retry:
        stands = step_changes.opened_again(stands)
    elif remedies and stands.rounds < rule.rounds:
        _call_for_remedies(job, remedies)
        stands = step_changes.in_round(stands, stands.rounds + 1)
    elif rule.then == "stop":
        job.stopped = name
    job.steps[name] = stands
    job.go_back(name)


def settled(job: Working, planned: PlannedStep) -> None:
    """Open a failed step again once the last of its remedies is settled."""
    parent = planned.remedy_of
    if parent is None or job.steps[parent].status is not Status.FAILED:
        return
    if job.steps[parent].is_open or remedies_pending(job, parent):
        return
    job.steps[parent] = step_changes.opened_again(job.steps[parent], fresh=True)


def let_go_on(job: Working, step: str) -> None:
    """Open a failed step again with all its retries and remedy rounds, as a lead allows."""
    job.steps[step] = step_changes.opened_again(job.steps[step], rounds=0, fresh=True)


def call_off_remedies(job: Working, step: str) -> None:
    """Let remedies rest that were called for and not begun, with their own remedies.

    One that was begun is to be finished: it may have changed the bike already.
    """
    for remedy in job.plan.remedies.get(step, ()):
        stands = job.steps[remedy]
        if stands.status in _NOT_BEGUN and stands.due is None:
            job.steps[remedy] = step_changes.not_called_for(stands)
        call_off_remedies(job, remedy)


def _call_for_remedies(job: Working, remedies: tuple[str, ...]) -> None:
    for remedy in remedies:
        call_off_remedies(job, remedy)
        job.steps[remedy] = step_changes.called_for(job.steps[remedy])
    job.go_back(remedies[0])
