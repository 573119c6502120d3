"""Whether concessions were somebody else's to give, and whether they still hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding
from commission.errors import IllegalEntryError
from commission.job.release import day_of, parsed_day
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob

_CONCESSION: Final = Declared(
    "concession",
    "Concessions valid",
    "Each concession says role, scope, reason and last day, was in force when the bike was "
    "released, and was not given by who did the step; one that has run out since is told, for the "
    "shortfall may still be on the bike.",
    "major",
    "ISO 9001:2015, 8.7: a concession names who decided, and what is delivered under it",
)


def _concession(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None:
        return
    for step, stands in state.steps.items():
        leave = stands.concession
        if leave is None or stands.status is not Status.CONCEDED:
            continue
        doers = frozenset() if stands.answer is None else stands.answer.doers
        try:
            ends = parsed_day(leave.expiry)
            ended, now = day_of(state.at), day_of(job.as_of)
        except IllegalEntryError as error:
            said = f"Its last day cannot be read: {error.message}"
            yield Finding(_CONCESSION.id, "major", job.stream, said, leave.seq, step, leave.by)
            continue
        if not (leave.scope.strip() and leave.reason.strip()):
            said = "It says no scope or no reason."
            yield Finding(_CONCESSION.id, "major", job.stream, said, leave.seq, step, leave.by)
        if leave.by in doers:
            said = f"{leave.by} did the step and conceded it."
            yield Finding(_CONCESSION.id, "major", job.stream, said, leave.seq, step, leave.by)
        if job.is_released and ends < ended:
            said = f"It had run out on {leave.expiry} when the bike was released."
            yield Finding(_CONCESSION.id, "major", job.stream, said, leave.seq, step, leave.by)
        elif job.is_released and ends < now:
            said = f"It ran out on {leave.expiry}; see whether the shortfall was put right."
            yield Finding(_CONCESSION.id, "minor", job.stream, said, leave.seq, step, leave.by)


CHECKS: Final = (Check(_CONCESSION, _concession),)
