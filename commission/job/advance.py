"""Entries in, state out: the fold that every job is.

Each kind of entry has one rule, which refuses what no legal job could contain at that point. A
verdict was judged when the entry was made, and is trusted; who, when and in which order is not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError
from commission.job import rules_answers, rules_instruments, rules_job, rules_leave, signed
from commission.job.state import JobState
from commission.job.working import Working

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.job.entry import Entry
    from commission.job.plan import Plan


def begin(plan: Plan) -> JobState:
    """Return the state of a job before its first entry."""
    return JobState(plan, steps=plan.initial)


def advance(state: JobState, entry: Entry) -> JobState:
    """Return the state after one more entry; `state` itself never changes.

    Raises:
        IllegalEntryError: no legal job contains this entry at this point; says why.
    """
    job = Working(state)
    _apply(job, entry)
    return job.frozen()


def replay(
    plan: Plan, entries: Iterable[Entry], watch: Callable[[Working, Entry], None] | None = None
) -> JobState:
    """Return the state after all entries: what `advance` gives one by one, only faster.

    `watch` is shown the job before each entry, and the entry, which need not be legal.

    Raises:
        IllegalEntryError: at the first entry that is not legal.
    """
    job = Working(begin(plan))
    for entry in entries:
        if watch is not None:
            watch(job, entry)
        _apply(job, entry)
    return job.frozen()


@dataclass(frozen=True, slots=True)
class _Rule:
    """What an entry of one kind does, and when it may come at all."""

    apply: Callable[[Working, Entry], None]
    is_work: bool = False
    """Refused while work is interrupted, until the last steps were read again."""
    while_stopped: bool = True
    """Accepted while the job is stopped."""
    by_anyone: bool = False
    """Also by a name not (yet) taking part: the program itself, someone who joins."""


_RULES: Final[Mapping[str, _Rule]] = {
    "opened": _Rule(rules_job.opened, by_anyone=True),
    "joined": _Rule(rules_job.joined, by_anyone=True),
    "acknowledged": _Rule(rules_answers.acknowledged, is_work=True, while_stopped=False),
    "part": _Rule(rules_answers.part, is_work=True, while_stopped=False),
    "answered": _Rule(rules_answers.answered, is_work=True, while_stopped=False),
    "corrected": _Rule(rules_answers.corrected, is_work=True),
    "not_applicable": _Rule(rules_answers.not_applicable, while_stopped=False, by_anyone=True),
    "hold_confirmed": _Rule(rules_leave.hold_confirmed, is_work=True, while_stopped=False),
    "conceded": _Rule(rules_leave.conceded),
    "instrument_conceded": _Rule(rules_instruments.conceded),
    "resumed": _Rule(rules_leave.resumed),
    "left": _Rule(rules_job.left),
    "returned": _Rule(rules_job.returned),
    "reread": _Rule(rules_job.reread),
    "clock_jump": _Rule(rules_job.clock_jump, by_anyone=True),
    "noted": _Rule(rules_job.noted),
    "note_closed": _Rule(rules_job.note_closed),
    "closed": _Rule(rules_job.closed),
}


def _apply(job: Working, entry: Entry) -> None:
    if entry.seq != job.seq + 1:
        raise IllegalEntryError(f"Entry {entry.seq} comes where {job.seq + 1} is due.")
    rule = _RULES.get(entry.kind)
    if rule is None:
        raise IllegalEntryError(f"Entry {entry.seq} is of the unknown kind {entry.kind!r}.")
    _check_may_come(job, entry, rule)
    if entry.kind in signed.SIGNED:
        signed.check(job, entry)
    try:
        rule.apply(job, entry)
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise IllegalEntryError(
            f"Entry {entry.seq} ({entry.kind}) is not made as such entries are: {error!r}."
        ) from error
    job.seq = entry.seq
    job.at = entry.at
    job.clock = entry.clock


def _check_may_come(job: Working, entry: Entry, rule: _Rule) -> None:
    if (job.opened is None) is not (entry.kind == "opened"):
        raise IllegalEntryError(
            "The job is opened already." if job.opened else "The job is not opened yet."
        )
    if job.outcome:
        raise IllegalEntryError(f"The job has ended: {job.outcome}.")
    if job.stopped and not rule.while_stopped:
        raise IllegalEntryError(
            f"The job is stopped at {job.stopped}.", "A lead has to resume it first."
        )
    if rule.is_work and (job.away or job.reread):
        raise IllegalEntryError(
            "Work was interrupted.", "Come back, and read the last steps again first."
        )
    if entry.by not in job.people and not rule.by_anyone:
        raise IllegalEntryError(f"{entry.by} does not take part in this job.", "Join first.")
