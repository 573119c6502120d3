"""How a job stands, in words that every page can bear."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.route import progress
from commission.report.times import moment

if TYPE_CHECKING:
    from commission.report.subject import Subject

RELEASED: Final = "released"
NO_PERMISSION: Final = (
    "This sheet says what was done, set and read. It is no certificate and no permission to ride,"
    " to charge or to work on the bike: local codes, the makers' instructions and, where one is"
    " required, a licensed person decide about that."
)


def standing(subject: Subject) -> str:
    """Return what each page says of a job that was not released; empty for a released one."""
    state = subject.state
    if state.outcome == RELEASED:
        return ""
    if state.outcome:
        return f"CLOSED WITHOUT RELEASE: {state.outcome}"
    return "NOT RELEASED: this job is open"


def outcome(subject: Subject) -> str:
    """Return how the job ended, or how far it is, in a sentence."""
    state = subject.state
    if state.outcome == RELEASED:
        return f"Released, {moment(state.at)}"
    if state.outcome:
        said = f"Closed without release ({state.outcome}), {moment(state.at)}"
        last = subject.entries[-1]
        reason = last.body.get("reason", "")
        return f"{said}, by {last.by}: {reason}" if reason else said
    done, total = progress(state)
    where = ""
    if state.frontier < len(state.plan.steps):
        where = f"; next: {state.plan.steps[state.frontier].step.title}"
    stopped = "; stopped until a lead resumes it" if state.stopped else ""
    return f"Open, {done} of {total} steps settled{where}{stopped}"
