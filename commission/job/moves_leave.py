"""Leave to go on: cautions read, hold points, concessions, a stopped job resumed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.errors import IllegalEntryError, RefusedError
from commission.job import failing, moves_instruments, release, witnessing
from commission.job.entry import Draft
from commission.job.moves_guard import (
    has_role,
    is_going_on,
    may_take_up,
    may_work,
    open_step,
    planned,
)
from commission.job.moves_text import reason_given, said
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.entry import Instant
    from commission.job.instrument import Citable
    from commission.job.state import JobState


def acknowledge(state: JobState, step: str, by: str) -> Draft:
    """Return the draft saying that the step's cautions were read.

    Raises:
        RefusedError: it is not the open step, has no caution, or it was acknowledged already.
    """
    one = may_take_up(state, step, by)
    if not one.step.cautions:
        raise RefusedError(f"“{one.step.title}” has no caution.")
    if state.steps[step].acknowledged:
        raise RefusedError(f"The caution of “{one.step.title}” was acknowledged already.")
    return Draft("acknowledged", by, step, state.steps[step].attempt)


def confirm_hold(  # noqa: PLR0913  a reading of a witness's own comes with what it was read with
    state: JobState, step: str, by: str, *, agrees: bool = True, reason: str = "",
    now: Instant | None = None, given: Mapping[str, Any] | None = None,
    instrument: Citable | None = None,
) -> Draft:  # fmt: skip
    """Return the draft by which another person confirms (or refuses) a step at its hold point.

    Args:
        state: the job.
        step: the one that is held.
        by: who confirms.
        agrees: whether the person does; an independent witness's reading decides that itself.
        reason: why not, or a remark.
        now: needed for a self-check, whose time it counts; else that of the job's last entry does.
        given: what an independent witness read, as typed.
        instrument: what it was read with.

    Raises:
        RefusedError: the step is not held, the person did it or lacks the role, a refusal gives no
            reason, or an independent witness gives no reading.
        InstrumentError: a lead's leave is needed to read with the instrument.
    """
    may_work(state, by)
    one, stands = planned(state, step), state.steps[step]
    if stands.status is not Status.HOLD or stands.answer is None:
        raise RefusedError(f"“{one.step.title}” does not wait for a hold.")
    if state.stopped:
        raise RefusedError("The job is stopped.", "A lead looks at it and lets the job go on.")
    due = open_step(state)
    if due is not None and due.id != step:
        raise RefusedError(f"“{due.step.title}” comes first ({due.id}).")
    role = str(one.step.hold)
    has_role(state, by, role, "This hold point")
    moment = now or stands.answer.moment
    if moment is None:
        raise RefusedError("The time is not known.")
    try:
        mode = witnessing.mode_of(state, one, by, moment)
    except IllegalEntryError as error:
        said = error.message.replace(f"did step {step}", "did this step")
        raise RefusedError(said, error.hint) from error
    body: dict[str, Any] = {"role": role, "mode": mode}
    if witnessing.is_independent(one):
        if not given:
            raise RefusedError("An independent witness takes the reading again.", "Give it.")
        if instrument is not None and witnessing.instrument_kind(state, step, moment):
            moves_instruments.check(state, step, instrument, moment)
        compared = witnessing.compare(state, step, given, by, moment, instrument)
        agrees = compared.agrees
        reason = reason.strip() or ("" if agrees else compared.because)
        body |= {
            "parts": compared.parts,
            "verdict": compared.judgement.verdict,
            "judged": dict(compared.judgement.judged),
            "because": compared.because,
        }
    body |= {
        "agrees": agrees,
        "reason": reason.strip() if agrees else reason_given(reason),
        "signature": None,
    }
    return Draft("hold_confirmed", by, step, stands.answer.attempt, body)


def concede(
    state: JobState, step: str, by: str, *, scope: str, expiry: str, reason: str, now: Instant
) -> Draft:
    """Return the concession for a failed step; `expiry` is a date, YYYY-MM-DD, not in the past.

    A concession that stands can be renewed.

    Raises:
        RefusedError: the step does not wait for one, the person lacks the role, or a field says
            nothing.
    """
    is_going_on(state)
    one, stands = planned(state, step), state.steps[step]
    waits = failing.waits_for_concession(state, step)
    if not waits and stands.status is not Status.CONCEDED:
        raise RefusedError(f"“{one.step.title}” does not wait for a concession.")
    role = failing.on_fail(one.step).concession_by
    has_role(state, by, role, "This concession")
    try:
        last_day = release.parsed_day(expiry.strip())
    except IllegalEntryError as error:
        raise RefusedError(f"Expiry: {error.message}", error.hint) from error
    if last_day < release.day_of(now.at):
        raise RefusedError(f"Expiry: {last_day} is in the past.", "Give today or a later day.")
    body = {
        "role": role,
        "scope": said("Scope", scope, "Say what it covers: this bike, this use."),
        "expiry": last_day.isoformat(),
        "reason": reason_given(reason),
        "signature": None,
    }
    return Draft("conceded", by, step, stands.attempt, body)


def resume(state: JobState, by: str, reason: str) -> Draft:
    """Return the draft by which a lead lets a stopped job go on.

    A lead may also have a step done again instead of conceding it.

    Raises:
        RefusedError: nothing is stopped, the person is no lead, or the reason is missing.
    """
    is_going_on(state)
    due = open_step(state)
    waits = due is not None and failing.waits_for_concession(state, due.id)
    if not state.stopped and not waits:
        raise RefusedError("The job is not stopped.")
    has_role(state, by, "lead", "Letting a stopped job go on")
    return Draft("resumed", by, body={"role": "lead", "reason": reason_given(reason)})
