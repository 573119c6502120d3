"""The rules of entries that answer steps: cautions, pieces, conclusions, corrections."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError
from commission.job import (
    bookkeeping,
    due,
    failing,
    pieces,
    release,
    rules_instruments,
    step_changes,
)
from commission.job.state import Status

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import Answer, Given, Parts, StepState
    from commission.job.working import Working

_VERDICTS: Final = ("pass", "marginal", "fail")
_RECENT: Final = 2
"""How many of the last steps are read again after an interruption."""


def acknowledged(job: Working, entry: Entry) -> None:
    """Take note that the cautions of the step were read."""
    planned, stands = job.open_step(entry)
    if not planned.has_cautions:
        raise IllegalEntryError(f"Step {entry.step} has no caution.")
    if stands.acknowledged:
        raise IllegalEntryError(f"The caution of step {entry.step} was acknowledged already.")
    job.steps[planned.id] = step_changes.acknowledged(stands)


def part(job: Working, entry: Entry) -> None:
    """Take one piece of an answer."""
    planned, stands = job.open_step(entry)
    _check_caution(planned, stands)
    pieces.check_piece(job, planned, stands, entry)
    body = entry.body
    rules_instruments.check(job, entry, body["given"])
    job.steps[planned.id] = step_changes.with_part(stands, body["part"], body["given"], entry)
    bookkeeping.keep(job, planned, entry)


def answered(job: Working, entry: Entry) -> None:
    """Conclude a step."""
    planned, stands = job.open_step(entry)
    _check_caution(planned, stands)
    _check_verdict(entry)
    given = _parts_of(entry)
    for piece in given.values():
        rules_instruments.check(job, entry, piece)
    if planned.kind in pieces.IN_PIECES:
        pieces.check_whole(job, planned, stands, entry)
        given = {**stands.parts, **given}
    elif "" not in given:
        raise IllegalEntryError(f"The answer to step {entry.step} says nothing.")
    _check_signature(job, planned, entry)
    answer = step_changes.answer_of(stands, entry, given)
    conclude(job, planned, answer)
    if planned.kind == "write":
        due.written(job, planned.id, answer.parts, entry.seq)
    elif _says_another(stands, answer):
        due.changed(job, planned.id, entry.seq, "answered again")
    job.go_forward()


def corrected(job: Working, entry: Entry) -> None:
    """Put another answer in the place of a concluded one."""
    planned, old = _to_correct(job, entry)
    _check_verdict(entry)
    name = planned.id
    stands = job.steps[name]
    answer = step_changes.corrected_answer(old, entry, _parts_of(entry))
    bookkeeping.correct(job, planned, old, answer, entry)
    fails_still = stands.status is Status.FAILED and answer.verdict == "fail"
    if fails_still or stands.status is Status.DUE_AGAIN:
        job.steps[name] = step_changes.with_answer(stands, answer)
    else:
        failing.call_off_remedies(job, name)
        conclude(job, planned, answer)
    if due.differs(old, answer):
        due.changed(job, name, entry.seq, "corrected")
    job.go_forward()


def not_applicable(job: Working, entry: Entry) -> None:
    """Settle a step that its condition rules out."""
    planned, stands = job.at_frontier(entry)
    if planned.step.when is None:
        raise IllegalEntryError(f"Step {entry.step} has no condition; it always applies.")
    if not stands.is_open:
        raise IllegalEntryError(f"Step {entry.step} stands as {stands.status}.")
    job.steps[planned.id] = step_changes.not_applicable(stands, entry.body.get("reason", ""))
    if planned.kind == "write":
        due.written(job, planned.id, stands.parts, entry.seq)
    if stands.answer is not None:
        due.changed(job, planned.id, entry.seq, "found not applicable")
    settle(job, planned)
    job.go_forward()


def conclude(job: Working, planned: PlannedStep, answer: Answer) -> None:
    """Let an answer count, with what follows from its verdict."""
    name = planned.id
    if name not in job.recent[-1:]:
        job.recent = (*job.recent, name)[-_RECENT:]
    if answer.verdict == "fail":
        failing.fail(job, planned, answer)
        return
    if planned.step.hold is not None:
        job.steps[name] = step_changes.held(job.steps[name], answer)
        job.go_back(name)
    else:
        job.steps[name] = step_changes.good(answer)
        settle(job, planned)


def settle(job: Working, planned: PlannedStep) -> None:
    """Let what waited for a step go on, now that it is settled."""
    if planned.remedy_of is not None:
        failing.settled(job, planned)
    if is_release(planned) and job.steps[planned.id].status is Status.PASSED:
        job.outcome = "released"


def is_release(planned: PlannedStep) -> bool:
    """Return whether a step is the signature that ends the job."""
    step = planned.step
    return step.kind == "sign_off" and step.meaning == "released"


def _says_another(before: StepState, answer: Answer) -> bool:
    """Return whether steps that rest on this one rest on something else now."""
    if before.answer is None:
        return before.due is not None
    return due.differs(before.answer, answer)


def _to_correct(job: Working, entry: Entry) -> tuple[PlannedStep, Answer]:
    planned, stands = job.any_step(entry)
    old = stands.answer
    if old is None or stands.status in (Status.TODO, Status.PARTLY, Status.DORMANT):
        raise IllegalEntryError(
            f"Step {entry.step} stands as {stands.status}; there is no answer to correct.",
            "Answer it, or replace a piece of the attempt in hand.",
        )
    if planned.kind == "sign_off":
        raise IllegalEntryError("A signature cannot be corrected.")
    if entry.body.get("replaces") != old.seq:
        raise IllegalEntryError(
            f"The answer to step {entry.step} stands in entry {old.seq}, "
            f"not in {entry.body.get('replaces')}."
        )
    if not entry.body.get("reason"):
        raise IllegalEntryError(f"Step {entry.step} is corrected without a reason.")
    return planned, old


def _check_caution(planned: PlannedStep, stands: StepState) -> None:
    if planned.has_cautions and not stands.acknowledged:
        raise IllegalEntryError(
            f"The caution of step {planned.id} was not acknowledged for this attempt.",
            "Read and acknowledge it first.",
        )


def _check_verdict(entry: Entry) -> None:
    if entry.body["verdict"] not in _VERDICTS:
        raise IllegalEntryError(f"{entry.body['verdict']!r} is no verdict.")


def _parts_of(entry: Entry) -> Parts:
    parts: dict[str, dict[str, Given]] = entry.body.get("parts", {})
    for cells in parts.values():
        if not isinstance(cells, dict):
            raise IllegalEntryError(f"The pieces of entry {entry.seq} are not tables of values.")
    return parts


def _check_signature(job: Working, planned: PlannedStep, entry: Entry) -> None:
    step = planned.step
    if step.kind != "sign_off":
        return
    if step.role not in job.people[entry.by]:
        raise IllegalEntryError(
            f"{entry.by} does not sign as {step.role}.", f"A {step.role} has to sign."
        )
    if step.meaning == "released" and entry.body["verdict"] != "fail":
        release.check(job, entry.at)
