"""A job's record as it is walked: every entry that can be read, those after a fault marked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from commission.audit.audited import AuditedJob, read_job
from commission.audit.checks.again import CHECKS as AGAIN
from commission.errors import CommissionError, DamagedError
from commission.job.advance import advance, begin
from commission.job.again import judged_anew
from commission.job.entry import GENESIS
from commission.record.chain import Fault, Reason
from commission.record.line import parse
from commission.record.reading import plan_of
from commission.record.verifying import known_register

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.audit.finding import Finding
    from commission.job.entry import Entry
    from commission.job.judge import Judgement
    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.record.signatures import KnownRegister
    from commission.record.store import Store

_MALFORMED: Final = (KeyError, TypeError, AttributeError, ValueError, IndexError)


@dataclass(frozen=True, slots=True)
class Walked:
    """One job, read to be walked."""

    job: AuditedJob
    entries: tuple[Entry, ...]
    """All that can be read; from `sound` on they are not to be relied on."""
    sound: int
    """How many entries stand before the fault; all where there is none."""
    gaps: tuple[float, ...]
    """Seconds since the entry before, for each."""
    plan: Plan | None
    """Of the procedure in the record; None where it cannot be read."""
    titles: Mapping[str, str]

    def before(self, at: int) -> tuple[JobState, JobState] | None:
        """Return the job before the entry at a place, and before the one before that.

        None where it cannot be had: after a fault, or where the record is no legal job's.
        """
        if self.plan is None or at >= self.sound:
            return None
        state = earlier = begin(self.plan)
        try:
            for entry in self.entries[:at]:
                earlier, state = state, advance(state, entry)
        except (CommissionError, *_MALFORMED):
            return None
        return state, earlier


def read_walked(store: Store, job: str, as_of: str) -> Walked:
    """Return a job's record, to be walked.

    Raises:
        DamagedError: nothing of it can be read.
        StoreError: the store cannot be read.
    """
    lines: list[bytes] = []
    damage = ""
    try:
        lines += store.lines(job)
    except DamagedError as error:
        damage = error.message
    if not lines:
        raise DamagedError(f"Nothing of {job} can be read. {damage}".strip())
    audited = read_job(lines, job, _known(store), as_of, thorough=True)
    if damage and audited.fault is None:
        fault = Fault(len(lines) + 1, Reason.NOT_JSON, damage)
        audited = AuditedJob(job, GENESIS, audited.entries, audited.gaps, None, fault,
                             audited.register, as_of)  # fmt: skip
    return walked_of(audited, lines)


def walked_of(job: AuditedJob, lines: Sequence[bytes]) -> Walked:
    """Return an audited job with what can be read of its lines after a fault."""
    sound = len(job.entries)
    later = tuple(_readable(lines[sound:]))
    entries = (*job.entries, *later)
    gaps = [*job.gaps[:sound], *(_gap(entries, place) for place in range(sound, len(entries)))]
    try:
        plan = job.state.plan if job.state is not None else plan_of(entries)
    except DamagedError:
        plan = None
    titles = {} if plan is None else {one.id: one.step.title for one in plan.steps}
    return Walked(job, entries, sound, tuple(gaps), plan, titles)


def by_entry(findings: Iterable[tuple[int, Finding]], job: str) -> dict[int, list[int]]:
    """Return, for each entry of a job, the numbers of the findings that rest on it."""
    found: dict[int, list[int]] = {}
    for number, one in findings:
        if one.job == job:
            for seq in dict.fromkeys((one.seq, *one.entries)):
                found.setdefault(seq, []).append(number)
    return found


def judged_today(walked: Walked, at: int) -> str:
    """Return what an answer comes to when it is judged today; empty where nothing is judged."""
    entry = walked.entries[at]
    if entry.kind not in ("answered", "corrected"):
        return ""
    states = walked.before(at)
    if states is None:
        return "It cannot be judged again: what came before is not whole."
    own = _by_own_numbers(walked, at)
    try:
        anew = judged_anew(states[0], entry, states[1])
    except (CommissionError, *_MALFORMED) as error:
        return f"It cannot be judged from its readings: {error}"
    return own or _compared(anew, str(entry.body.get("verdict")))


def _compared(anew: Judgement | None, verdict: str) -> str:
    if anew is None:
        return "DIFFERENT: its readings make no whole answer."
    if anew.verdict != verdict:
        return f"DIFFERENT: today its readings give {anew.verdict}: {anew.because}"
    return f"the same: {anew.verdict}, from the readings and the procedure alone"


def _by_own_numbers(walked: Walked, at: int) -> str:
    """Return what the check that judges again says of one entry; empty where it is content."""
    job, entry = walked.job, walked.entries[at]
    one = AuditedJob(job.stream, job.head, (entry,), (0.0,), job.state, None, None, job.as_of)
    for found in AGAIN[0].find(one):
        return f"DIFFERENT: {found.text}"
    return ""


def _readable(lines: Iterable[bytes]) -> Iterable[Entry]:
    for line in lines:
        try:
            yield parse(line)
        except DamagedError:
            continue


def _gap(entries: Sequence[Entry], place: int) -> float:
    if place == 0:
        return 0.0
    try:
        before = datetime.fromisoformat(entries[place - 1].at)
        return (datetime.fromisoformat(entries[place].at) - before).total_seconds()
    except (ValueError, TypeError):
        return 0.0


def _known(store: Store) -> KnownRegister | None:
    try:
        return known_register(store)
    except DamagedError:
        return None
