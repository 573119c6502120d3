"""How one step's state follows from the one before. Values in, values out; no rules here.

`StepState` is built outright, and quickly, instead of by `dataclasses.replace`: this runs for every
entry.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from commission.job.quickly import quickly
from commission.job.state import Answer, Concession, Due, Status, StepState

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from commission.job.entry import Entry
    from commission.job.state import Given

_NOBODY: Final[frozenset[str]] = frozenset()
_step: Final = quickly(StepState)
_answer: Final = quickly(Answer)


def acknowledged(step: StepState) -> StepState:
    """Return the step with its cautions read for the attempt in hand."""
    return _step(
        step.status, step.attempt, True, step.parts, step.part_moments, step.answer, step.due,  # noqa: FBT003
        step.failures, step.rounds, step.reason, step.doers, step.concession,
    )  # fmt: skip


def with_part(step: StepState, part: str, given: Mapping[str, Given], entry: Entry) -> StepState:
    """Return the step with one more piece, or one replaced."""
    parts = dict(step.parts)
    parts[part] = given
    moments = dict(step.part_moments)
    moments[part] = (entry.seq, entry.instant)
    doers = step.doers if entry.by in step.doers else step.doers | {entry.by}
    return _step(
        Status.PARTLY, step.attempt, step.acknowledged, parts, moments, step.answer, step.due,
        step.failures, step.rounds, step.reason, doers, step.concession,
    )  # fmt: skip


def answer_of(step: StepState, entry: Entry, parts: Mapping[str, Mapping[str, Given]]) -> Answer:
    """Return the answer that an entry concludes."""
    body = entry.body
    doers = step.doers if entry.by in step.doers else step.doers | {entry.by}
    return _answer(
        entry.seq, entry.by, step.attempt, parts, body["verdict"], body.get("because", ""),
        body.get("judged", {}), False, doers, entry.instant,  # noqa: FBT003
    )  # fmt: skip


def corrected_answer(old: Answer, entry: Entry, parts: Mapping[str, Mapping[str, Given]]) -> Answer:
    """Return the answer that an entry puts in the place of `old`."""
    body: Mapping[str, Any] = entry.body
    return Answer(
        seq=entry.seq,
        by=entry.by,
        attempt=old.attempt,
        parts=parts,
        verdict=body["verdict"],
        because=body.get("because", ""),
        judged=body.get("judged", {}),
        corrected=True,
        doers=old.doers | {entry.by},
        moment=entry.instant,
    )


def good(answer: Answer, reason: str = "") -> StepState:
    """Return the step answered well, its failures forgotten; `reason` is what a witness found."""
    status = Status.MARGINAL if answer.verdict == "marginal" else Status.PASSED
    return _step(
        status, answer.attempt, True, {}, {}, answer, None, 0, 0, reason,  # noqa: FBT003
    )  # fmt: skip


def held(step: StepState, answer: Answer) -> StepState:
    """Return the step answered well, for another person to confirm.

    Until then its failures count: who is refused again and again gets no further tries by it.
    """
    return _step(
        Status.HOLD, answer.attempt, True, {}, {}, answer, None,  # noqa: FBT003
        step.failures, step.rounds,
    )  # fmt: skip


def failed(step: StepState, answer: Answer, reason: str = "") -> StepState:
    """Return the step failed once more, with no attempt open."""
    return _step(
        Status.FAILED, answer.attempt, False, {}, {}, answer, step.due,  # noqa: FBT003
        step.failures + 1, step.rounds, reason,
    )  # fmt: skip


def with_answer(step: StepState, answer: Answer) -> StepState:
    """Return the step as it stands, with its last answer corrected."""
    return replace(step, answer=answer)


def conceded(step: StepState, concession: Concession) -> StepState:
    """Return the failed step accepted as it is."""
    return replace(
        step, status=Status.CONCEDED, reason=concession.reason, due=None, concession=concession
    )


def in_round(step: StepState, rounds: int) -> StepState:
    """Return the failed step with a remedy round begun."""
    return replace(step, rounds=rounds)


def opened_again(step: StepState, *, rounds: int | None = None, fresh: bool = False) -> StepState:
    """Return the step with its next attempt in hand; `fresh` forgets the failures so far."""
    return replace(
        step,
        attempt=_next_attempt(step),
        acknowledged=False,
        parts={},
        part_moments={},
        doers=_NOBODY,
        failures=0 if fresh else step.failures,
        rounds=step.rounds if rounds is None else rounds,
    )


def due_again(step: StepState, due: Due) -> StepState:
    """Return the step due again, its last answer kept beside the reason."""
    return _step(
        Status.DUE_AGAIN, _next_attempt(step), False, {}, {}, step.answer, due,  # noqa: FBT003
    )  # fmt: skip


def not_applicable(step: StepState, reason: str) -> StepState:
    """Return the step that its condition rules out; what it had answered counts no more."""
    return StepState(status=Status.NOT_APPLICABLE, attempt=step.attempt, reason=reason)


def called_for(step: StepState) -> StepState:
    """Return a remedy step to be done, again where it has been done before."""
    return StepState(Status.TODO, _next_attempt(step), answer=step.answer)


def not_called_for(step: StepState) -> StepState:
    """Return a remedy step that nothing calls for any more."""
    return StepState(Status.DORMANT, step.attempt, answer=step.answer)


def _next_attempt(step: StepState) -> int:
    """Return the attempt after the last one concluded; one never concluded is still in hand."""
    if step.answer is None or step.attempt > step.answer.attempt:
        return step.attempt
    return step.answer.attempt + 1
