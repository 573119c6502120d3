"""The rules of instruments that are out of calibration: what is refused, what needs leave."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.errors import IllegalEntryError
from commission.job import release
from commission.job.instrument import CITED, leave_for, overdue_rule
from commission.job.state import Concession

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.entry import Entry
    from commission.job.state import Given
    from commission.job.working import Working

ROLE = "lead"
"""Who gives leave."""


def conceded(job: Working, entry: Entry) -> None:
    """Let an instrument be read with all the same, until a day."""
    body = entry.body
    if body["role"] != ROLE or ROLE not in job.people[entry.by]:
        raise IllegalEntryError(f"Leave to read with {body['named']} is a {ROLE}'s to give.")
    for name in ("scope", "reason"):
        if not body.get(name):
            raise IllegalEntryError(f"The leave for {body['named']} has no {name}.")
    if release.parsed_day(body["expiry"]) < release.day_of(entry.at):
        raise IllegalEntryError(
            f"The leave for {body['named']} would have expired on {body['expiry']}.",
            "Give a day that is not in the past.",
        )
    leave = Concession(entry.seq, entry.by, ROLE, body["scope"], body["expiry"], body["reason"])
    job.instrument_leaves = {**job.instrument_leaves, str(body["instrument"]): leave}


def check(job: Working, entry: Entry, piece: Mapping[str, Given]) -> None:
    """Refuse readings with an instrument that the procedure does not let be read with.

    Corrections are not asked: they carry what was cited when the reading was taken.
    """
    # Each reading of each replayed entry passes here: no generator, no call where none is cited.
    for given in piece.values():
        if type(given) is dict and CITED in given and given[CITED]["state"] != "good":
            _check_leave(job, entry, given[CITED])


def _check_leave(job: Working, entry: Entry, cited: Mapping[str, Any]) -> None:
    rule = overdue_rule(job, entry.step or "")
    named = f"{cited['id'] or 'The instrument'} ({cited['state']})"
    if rule == "stop":
        raise IllegalEntryError(f"{named} is not to be read with at step {entry.step}.")
    if rule == "concession" and leave_for(job, cited["id"], entry.at[:10]) is None:
        raise IllegalEntryError(f"{named} is read with at step {entry.step} without leave.")
