"""What may happen next in a job: from what a person gives to drafts for the record, or a refusal.

Each function takes a state and returns drafts that `advance` accepts in that state. None of them
reads a clock, a file or a screen. A refusal leaves nothing behind.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from commission.errors import RefusedError
from commission.job import moves_instruments
from commission.job.condition import not_applicable_because
from commission.job.entry import Draft
from commission.job.instrument import carried, kind_read_with
from commission.job.kinds import HANDLERS, Look
from commission.job.kinds.valued import typed_text
from commission.job.moves_aside import (
    abandon,
    close_note,
    come_back,
    join,
    leave,
    note,
    reread,
)
from commission.job.moves_guard import is_going_on, may_answer, may_work, open_step, planned
from commission.job.moves_instruments import concede_instrument
from commission.job.moves_leave import acknowledge, concede, confirm_hold, resume
from commission.job.moves_text import reason_given
from commission.job.state import Status
from commission.job.suggest import suggest
from commission.job.values import values

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Asking
    from commission.job.entry import Instant
    from commission.job.instrument import Citable
    from commission.job.judge import Judgement
    from commission.job.state import Given, JobState, Parts

__all__ = [
    "abandon", "acknowledge", "asking", "automatic", "close_note", "come_back", "concede",
    "concede_instrument", "confirm_hold", "correct", "join", "leave", "note", "open_step",
    "replace_part", "reread", "resume", "submit", "suggest",
]  # fmt: skip

_NOT_CONCLUDED: Final = frozenset({Status.TODO, Status.PARTLY, Status.DORMANT})
PROGRAM: Final = "program"
"""Who is named where nobody did anything: a step that its condition rules out."""


def asking(state: JobState, step: str, now: Instant, part: str | None = None) -> Asking:
    """Return what `step` asks now (for a settled step: what a correction would give again).

    `part` asks for a piece already given, to replace or correct it; what was given is then offered.

    Raises:
        RefusedError: no such step, or no such piece.
    """
    look = _look(state, step, now, "")
    handler = HANDLERS[look.step.kind]
    if part is None and look.step_state.is_open:
        open_part = handler.part(look)
        read = handler.read_with_instrument(look, open_part)
        return replace(
            handler.asking(look, open_part), instrument=kind_read_with(state, step) if read else ""
        )
    name = next(iter(look.parts), "") if part is None else part
    asked = handler.asking(look, name)
    given = look.parts.get(name, {})
    offered = (
        replace(one, offered=typed_text(given[one.name])) if one.name in given else one
        for one in asked.asks
    )
    return replace(asked, asks=tuple(offered), wait=None)


def submit(
    state: JobState,
    step: str,
    given: Mapping[str, Any],
    by: str,
    now: Instant,
    instrument: Citable | None = None,
) -> tuple[Draft, ...]:
    """Return the drafts for what was typed for the open step's present part.

    One draft for a piece; piece and conclusion where it completes the step. What is given is text
    as typed, but for a file, which is given as it was described when its content was kept. With an
    `instrument` the numbers that are readings say that they were taken with it.

    Raises:
        RefusedError: says which field, what was got, what is expected, how to mend it.
        InstrumentError: a lead's leave is needed to read with the instrument.
    """
    may_answer(state, step, by)
    look = _look(state, step, now, by)
    handler = HANDLERS[look.step.kind]
    part = handler.part(look)
    handler.ready(look, part)
    piece = handler.parse(look, part, given, whole=True)
    read = handler.read_with_instrument(look, part)
    if instrument is not None and read:
        moves_instruments.check(state, step, instrument, now)
        piece = moves_instruments.cite(piece, read, instrument)
    after = look.with_part(part, piece)
    drafts = []
    if handler.in_pieces and handler.is_kept(part):
        body = {"part": part, "given": piece, **handler.beside(after, part)}
        drafts.append(_draft("part", after, body))
    judgement = handler.conclude(after)
    if judgement is not None:
        parts = {} if handler.in_pieces else {part: piece}
        drafts.append(_draft("answered", after, {"parts": parts, **_verdict(judgement)}))
    return tuple(drafts)


def replace_part(
    state: JobState, step: str, part: str, given: Mapping[str, Any], reason: str, by: str
) -> tuple[Draft, ...]:
    """Return the draft that replaces a piece already given in the attempt in hand.

    What is not given again stays as it was.

    Raises:
        RefusedError: there is no such piece, nothing changes, or the reason is missing.
    """
    may_answer(state, step, by)
    stands = state.steps[step]
    if part not in stands.part_moments:
        have = ", ".join(stands.part_moments) or "none"
        raise RefusedError(f"There is no piece {part[:40]!r} to replace.", f"Given so far: {have}.")
    seq, moment = stands.part_moments[part]
    look = _look(state, step, moment, by)
    handler = HANDLERS[look.step.kind]
    old = dict(stands.parts[part])
    new = old | carried(old, handler.parse(look, part, given, whole=False))
    _is_changed(old, new)
    body = {"part": part, "given": new, "replaces": seq, "reason": reason_given(reason)}
    body |= handler.beside(look.with_part(part, new), part)
    return (_draft("part", look, body),)


def correct(
    state: JobState,
    step: str,
    parts: Mapping[str, Mapping[str, Any]],
    reason: str,
    by: str,
    now: Instant,
    instrument: Citable | None = None,
) -> tuple[Draft, ...]:
    """Return the draft that corrects a concluded step; `parts` overlay what was given.

    The answer is judged again as a whole, by the values that hold now. What is given again was
    read with `instrument`; without one, with what was cited before.

    Raises:
        RefusedError: the step has no answer, nothing changes, or the reason is missing.
    """
    may_work(state, by)
    one, stands = planned(state, step), state.steps[step]
    answer = stands.answer
    if answer is None or stands.status in _NOT_CONCLUDED:
        raise RefusedError(
            f"“{one.step.title}” stands as {stands.status}: there is no answer to correct.",
            "Answer it when its turn comes.",
        )
    if one.step.kind == "sign_off":
        raise RefusedError(
            "A signature cannot be corrected.", "Note what is wrong as an open item."
        )
    look = replace(_look(state, step, now, by), parts=answer.parts)
    handler = HANDLERS[look.step.kind]
    merged: dict[str, Mapping[str, Given]] = dict(answer.parts)
    for part, given in parts.items():
        if part not in merged:
            have = ", ".join(name or "the answer" for name in merged)
            raise RefusedError(f"There is no piece {part[:40]!r} to correct.", f"There is {have}.")
        old = dict(merged[part])
        new = handler.parse(look, part, given, whole=False)
        if instrument is not None:
            new = moves_instruments.cite(new, handler.read_with_instrument(look, part), instrument)
        merged[part] = old | carried(old, new)
    _is_changed(dict(answer.parts), merged)
    judgement = handler.conclude(replace(look, parts=merged))
    if judgement is None:
        raise RefusedError("What was given does not make a whole answer.", "Correct all of it.")
    body = {
        "parts": merged,
        **_verdict(judgement),
        **handler.beside(replace(look, parts=merged), *parts),
        "replaces": answer.seq,
        "reason": reason_given(reason),
    }
    return (Draft("corrected", by, step, answer.attempt, body),)


def automatic(state: JobState, now: Instant) -> tuple[Draft, ...]:
    """Return what the program itself has to record now (a step not applicable); often nothing."""
    del now  # nothing so far depends on the time
    due = open_step(state)
    if due is None or due.step.when is None or state.opened is None or state.outcome:
        return ()
    stands = state.steps[due.id]
    if not stands.is_open or stands.parts or state.stopped:
        return ()
    reason = not_applicable_because(state, due.step.when)
    if not reason:
        return ()
    body = {"condition": str(due.step.when), "reason": reason}
    return (Draft("not_applicable", PROGRAM, due.id, stands.attempt, body),)


def _look(state: JobState, step: str, now: Instant, by: str) -> Look:
    is_going_on(state)
    one = planned(state, step)
    stands = state.steps[step]
    settled = not stands.is_open and stands.answer is not None
    parts: Parts = stands.answer.parts if settled and stands.answer else stands.parts
    return Look(state, one.step, parts, values(state), now, by)


def _draft(kind: str, look: Look, body: Mapping[str, Any]) -> Draft:
    return Draft(kind, look.by, look.step.id, look.step_state.attempt, body)


def _verdict(judgement: Judgement) -> dict[str, Any]:
    return {
        "verdict": judgement.verdict,
        "because": judgement.because,
        "judged": dict(judgement.judged),
    }


def _is_changed(old: Mapping[str, Any], new: Mapping[str, Any]) -> None:
    if old == new:
        raise RefusedError("Nothing is changed by that.", "Give what differs.")
