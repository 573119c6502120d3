"""The rules that hold before any step is answered, whatever its kind, as polite refusals.

`advance` holds the same rules once more over whatever a record says; here they are put to a person
with a way to go on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.job import failing
from commission.job.state import Status

if TYPE_CHECKING:
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState


def open_step(state: JobState) -> PlannedStep | None:
    """Return the step to do now, or None when every step is settled."""
    steps = state.plan.steps
    return steps[state.frontier] if state.frontier < len(steps) else None


def planned(state: JobState, step: str) -> PlannedStep:
    """Return a step by name, or refuse a name that is none."""
    if step not in state.plan.index:
        raise RefusedError(f"There is no step {step[:60]!r} in this procedure.")
    return state.plan.planned(step)


def is_going_on(state: JobState) -> None:
    """Refuse where the job has not been opened or has ended."""
    if state.opened is None:
        raise RefusedError("The job has not been opened.")
    if state.outcome:
        raise RefusedError(f"The job has ended: {state.outcome}.", "Start another job.")


def takes_part(state: JobState, by: str) -> None:
    """Refuse a person who does not take part in the job."""
    if by not in state.people:
        known = ", ".join(sorted(state.people)) or "nobody"
        raise RefusedError(
            f"{by.strip() or 'Nobody'} does not take part in this job.",
            f"Taking part: {known}. Others join first.",
        )


def has_role(state: JobState, by: str, role: str, what: str) -> None:
    """Refuse a person without the role that `what` calls for."""
    takes_part(state, by)
    if role not in state.people[by]:
        able = sorted(name for name, roles in state.people.items() if role in roles)
        hint = f"With this role: {', '.join(able)}." if able else f"A {role} joins first."
        raise RefusedError(f"{what} takes a {role}; {by} is {_roles(state, by)}.", hint)


def _roles(state: JobState, by: str) -> str:
    return " and ".join(sorted(state.people[by])) or "without a role"


def may_work(state: JobState, by: str) -> None:
    """Refuse work by a stranger, in a job that has ended, is left, or waits to be read again."""
    is_going_on(state)
    takes_part(state, by)
    if state.away:
        raise RefusedError("Work on this job was left.", "Take it up again first.")
    if state.reread:
        titles = " and ".join(f"“{state.plan.planned(one).step.title}”" for one in state.reread)
        raise RefusedError(
            "The last steps have not been read again since work was left.", f"Look at {titles}."
        )


def may_answer(state: JobState, step: str, by: str) -> PlannedStep:
    """Return the step, or refuse to have it answered now.

    Raises:
        RefusedError: as `may_take_up`, or its caution was not acknowledged.
    """
    one = may_take_up(state, step, by)
    if one.step.cautions and not state.steps[step].acknowledged:
        raise RefusedError(
            f"The caution of “{one.step.title}” has not been acknowledged.",
            "Read it and acknowledge it first.",
        )
    return one


def may_take_up(state: JobState, step: str, by: str) -> PlannedStep:
    """Return the step, or refuse to have it taken up now.

    Raises:
        RefusedError: another step is open, the job is stopped, or something stands before it.
    """
    may_work(state, by)
    one = planned(state, step)
    if state.stopped:
        raise RefusedError(
            f"The job is stopped: “{_title(state, state.stopped)}” failed.",
            "A lead looks at it and lets the job go on.",
        )
    due = open_step(state)
    if due is None:
        raise RefusedError("Every step is settled.", "A settled step can be corrected.")
    if due.id != one.id:
        raise RefusedError(
            f"“{one.step.title}” is not the step to do now.",
            f"Open is “{due.step.title}” ({due.id}).",
        )
    stands = state.steps[step]
    if not stands.is_open:
        raise RefusedError(*_why_not_open(state, one))
    return one


def _why_not_open(state: JobState, one: PlannedStep) -> tuple[str, str]:
    title, stands = one.step.title, state.steps[one.id]
    if stands.status is Status.HOLD:
        return (
            f"Work is held at “{title}”.",
            f"Another person, a {one.step.hold}, confirms it first.",
        )
    if failing.waits_for_concession(state, one.id):
        role = failing.on_fail(one.step).concession_by
        return f"“{title}” failed.", f"It takes a concession by a {role} to go on."
    return f"“{title}” stands as {stands.status}.", "It cannot be answered now."


def _title(state: JobState, step: str) -> str:
    return state.plan.planned(step).step.title if step in state.plan.index else step
