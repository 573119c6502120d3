"""Citing the instrument a reading was taken with, and leave to read with one that is overdue."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.errors import IllegalEntryError, RefusedError
from commission.job import release
from commission.job.entry import Draft
from commission.job.instrument import leave_for, overdue_rule, with_citation
from commission.job.moves_guard import has_role, is_going_on
from commission.job.moves_text import reason_given, said
from commission.job.rules_instruments import ROLE

if TYPE_CHECKING:
    from collections.abc import Container, Mapping

    from commission.job.entry import Instant
    from commission.job.instrument import Citable
    from commission.job.state import Given, JobState


class InstrumentError(RefusedError):
    """A lead's written leave is needed to read with an instrument; nothing was recorded."""

    def __init__(self, message: str, instrument: Citable) -> None:
        """Say why, and name the instrument."""
        super().__init__(message, "Or choose another instrument.")
        self.instrument = instrument


def cite(
    piece: Mapping[str, Given], names: Container[str], instrument: Citable
) -> dict[str, Given]:
    """Return a piece whose numbers called `names` say what they were read with."""
    return {
        name: with_citation(given, instrument) if name in names else given
        for name, given in piece.items()
    }


def check(state: JobState, step: str, instrument: Citable, now: Instant) -> None:
    """Refuse an instrument that the procedure does not let be read with now.

    Raises:
        RefusedError: the procedure stops on it.
        InstrumentError: a lead's written leave is needed first.
    """
    if instrument.is_good:
        return
    rule = overdue_rule(state, step)
    named = f"{instrument} {instrument.why_not}"
    if rule == "stop":
        raise RefusedError(
            f"{named}; this procedure does not take readings with it.",
            "Choose another, or have it calibrated and say so in the register.",
        )
    if rule == "concession" and leave_for(state, instrument.id, now.at[:10]) is None:
        raise InstrumentError(f"{named}; a {ROLE} may give leave to read with it.", instrument)


def concede_instrument(
    state: JobState, instrument: Citable, by: str, *, scope: str, expiry: str, reason: str,
    now: Instant,
) -> Draft:  # fmt: skip
    """Return a lead's leave to read with an instrument that is out of calibration, until a day.

    Raises:
        RefusedError: the person is no lead, a field says nothing, or the day is past.
    """
    is_going_on(state)
    has_role(state, by, ROLE, "This leave")
    try:
        last_day = release.parsed_day(expiry.strip())
    except IllegalEntryError as error:
        raise RefusedError(f"Expiry: {error.message}", error.hint) from error
    if last_day < release.day_of(now.at):
        raise RefusedError(f"Expiry: {last_day} is in the past.", "Give today or a later day.")
    body: dict[str, Any] = {
        "instrument": instrument.id,
        "named": f"{instrument}, {instrument.state}",
        "role": ROLE,
        "scope": said("Scope", scope, "Say what it covers: these readings, this bike."),
        "expiry": last_day.isoformat(),
        "reason": reason_given(reason),
        "signature": None,
    }
    return Draft("instrument_conceded", by, body=body)
