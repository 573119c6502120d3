"""The way through a job for faces: every step with its number, its state in a word and a sign."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.job import failing
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.plan import PlannedStep
    from commission.job.state import JobState, StepState

SIGNS: Final[Mapping[Status, str]] = {
    Status.TODO: " ",
    Status.DORMANT: ".",
    Status.PARTLY: "*",
    Status.PASSED: "+",
    Status.MARGINAL: "~",
    Status.FAILED: "x",
    Status.HOLD: "?",
    Status.NOT_APPLICABLE: "-",
    Status.CONCEDED: "c",
    Status.DUE_AGAIN: "!",
}
"""One character of plain ASCII each, always shown beside the word and never instead of it."""
OPEN: Final = ">"
"""The sign of the step to do now, where its own sign says nothing yet."""


@dataclass(frozen=True, slots=True)
class RouteLine:
    """One step on the way."""

    step: str
    number: str
    """`12`; of a remedy step the number of its step and its own: `12.1`."""
    title: str
    stage: str
    """The stage's title."""
    status: Status
    word: str
    """The state in words."""
    sign: str
    """One ASCII character; never shown without the word."""
    reason: str
    """Why it stands so, where that is not plain from the word; else empty."""
    indent: int
    """0; for remedy steps how deep."""
    is_open: bool
    """Whether it is the one to do now."""


def route(state: JobState) -> tuple[RouteLine, ...]:
    """Return every step in order, remedy steps (also those not needed) before their own step."""
    number = numbers(state)
    return tuple(
        _line(state, planned, number[planned.id], state.steps[planned.id])
        for planned in state.plan.steps
    )


def progress(state: JobState) -> tuple[int, int]:
    """Return how many steps are settled, and of how many; remedies not needed count nowhere."""
    counted = [one.status for one in state.steps.values() if one.status is not Status.DORMANT]
    return sum(status.settled for status in counted), len(counted)


def _line(state: JobState, planned: PlannedStep, number: str, stands: StepState) -> RouteLine:
    is_open = planned.index == state.frontier and not state.outcome
    sign = SIGNS[stands.status]
    return RouteLine(
        step=planned.id,
        number=number,
        title=planned.step.title,
        stage=planned.stage_title,
        status=stands.status,
        word=stands.status.value,
        sign=OPEN if is_open and stands.status in (Status.TODO, Status.PARTLY) else sign,
        reason=_reason(state, planned, stands),
        indent=_depth(state, planned),
        is_open=is_open,
    )


def _reason(state: JobState, planned: PlannedStep, stands: StepState) -> str:
    reason = stands.reason
    match stands.status:
        case Status.FAILED:
            because = stands.reason or (stands.answer.because if stands.answer else "")
            reason = f"{because} {_what_next(state, planned, stands)}".strip()
        case Status.HOLD:
            reason = f"a {planned.step.hold} has to confirm it"
        case Status.CONCEDED if stands.concession is not None:
            given = stands.concession
            reason = f"by {given.by} until {given.expiry}: {given.reason}"
        case Status.MARGINAL if stands.answer is not None:
            reason = f"{stands.answer.because} {stands.reason}".rstrip()
        case _ if stands.due is not None and stands.is_open:
            reason = str(stands.due)
        case _:
            pass
    return reason


def _what_next(state: JobState, planned: PlannedStep, stands: StepState) -> str:
    """Return in words what a failed step waits for."""
    if state.stopped == planned.id:
        return "The job is stopped until a lead resumes it."
    if stands.is_open:
        return "Do it again."
    if failing.remedies_pending(state, planned.id):
        return "Its remedy comes first."
    if failing.waits_for_concession(state, planned.id):
        return f"A {failing.on_fail(planned.step).concession_by} may concede it."
    return ""


def _depth(state: JobState, planned: PlannedStep) -> int:
    parent = planned.remedy_of
    return 0 if parent is None else 1 + _depth(state, state.plan.planned(parent))


def numbers(state: JobState) -> dict[str, str]:
    """Return each step's number; steps of the procedure itself count on, remedies hang on them."""
    found: dict[str, str] = {}
    counted = 0
    for planned in state.plan.steps:
        if planned.remedy_of is None:
            counted += 1
            _number(state, planned.id, str(counted), found)
    return found


def _number(state: JobState, step: str, number: str, found: dict[str, str]) -> None:
    found[step] = number
    for place, remedy in enumerate(state.plan.remedies.get(step, ()), 1):
        _number(state, remedy, f"{number}.{place}", found)
