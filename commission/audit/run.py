"""One audit run: jobs read one after the other, each check made, nothing kept of them but findings.

Memory does not grow with the number of jobs, but for the findings and what checks across jobs
remember, which is a little for each person.
"""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from commission.audit.audited import AuditedJob, read_job
from commission.audit.catalogue import ACROSS, CHECKS
from commission.audit.collecting import seldom_collected
from commission.audit.finding import SEVERITIES, Finding
from commission.errors import CommissionError, DamagedError
from commission.job.entry import GENESIS
from commission.record.chain import Fault, Reason
from commission.record.verifying import known_register

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from commission.job.entry import Digest
    from commission.record.signatures import KnownRegister
    from commission.record.store import Store

_MALFORMED = (KeyError, TypeError, AttributeError, ValueError, IndexError)
_MANY: Final = 200
"""From so many jobs on other processes are started: that takes about a second."""
_MOST_WORKERS: Final = 8
"""More wait for the one that reads the store."""


@dataclass(frozen=True, slots=True)
class Looked:
    """One job that was audited, as an audit's record names it."""

    job: str
    entries: int
    head: Digest
    people: frozenset[str]
    """Who made entries in it."""


@dataclass(frozen=True, slots=True)
class Report:
    """What is left of a job when it was audited: what was found, and what goes across jobs."""

    looked: Looked
    findings: tuple[Finding, ...]
    seen: tuple[Any, ...]
    """For each check across jobs, what it saw; nothing of a job that is not whole."""


@dataclass(frozen=True, slots=True)
class How:
    """How jobs are audited."""

    as_of: str
    quick: bool = False
    """Without slow checks: verdicts are then judged again from their own numbers only."""
    known: KnownRegister | None = None


@dataclass(slots=True)
class Audited:
    """What a run found."""

    findings: list[Finding] = field(default_factory=list)
    looked: list[Looked] = field(default_factory=list)
    entries: int = 0

    def counts(self) -> dict[str, int]:
        """Return how many findings there are of each severity, worst first."""
        found = Counter(one.severity for one in self.findings)
        return {severity: found[severity] for severity in SEVERITIES}

    @property
    def is_good(self) -> bool:
        """Whether no fault was found; signs are none."""
        return all(one.is_sign for one in self.findings)


def run(
    store: Store,
    jobs: Sequence[str],
    as_of: str,
    *,
    quick: bool = False,
    progress: Callable[[int], None] | None = None,
    so_far: Callable[[Audited], None] | None = None,
    workers: int | None = None,
) -> Audited:
    """Audit jobs of a store.

    Args:
        store: where they are.
        jobs: ids, in the order in which they were opened: checks across jobs look back.
        as_of: the moment of the audit (RFC 3339).
        quick: leaves out slow checks; verdicts are then judged again from their own numbers only.
        progress: told after each job how many are done.
        so_far: told before that what was found up to then; it must not change it.
        workers: processes that audit; 1 is this one alone, None as many as serve.

    Raises:
        StoreError: the store cannot be read.
    """
    done = Audited()
    how = How(as_of, quick, _register(store, done))
    across = [check.begin() for check in ACROSS]
    for number, report in enumerate(_reports(store, jobs, how, workers), 1):
        done.looked.append(report.looked)
        done.entries += report.looked.entries
        done.findings += report.findings
        for check, seen in zip(across, report.seen, strict=False):
            done.findings += check.take(seen)
        if so_far is not None:
            so_far(done)
        if progress is not None:
            progress(number)
    for check in across:
        done.findings += check.findings()
    return done


def report_of(lines: Sequence[bytes] | str, stream: str, how: How) -> Report:
    """Return what is found in one job: of its lines, or of why they cannot be read."""
    job = _job(lines, stream, how)
    people = frozenset(entry.by for entry in job.entries)
    looked = Looked(stream, len(job.entries), job.head, people)
    findings = tuple(checked(job, quick=how.quick))
    seen = () if job.state is None else tuple(check.begin().see(job) for check in ACROSS)
    return Report(looked, findings, seen)


def _reports(store: Store, jobs: Sequence[str], how: How, workers: int | None) -> Iterator[Report]:
    count = workers or (_serving() if len(jobs) >= _MANY else 1)
    if count == 1:
        with seldom_collected():
            for stream in jobs:
                yield report_of(_lines(store, stream), stream, how)
        return
    from commission.audit.workers import reports

    yield from reports(((_lines(store, stream), stream) for stream in jobs), how, count)


def _serving() -> int:
    return min(os.cpu_count() or 1, _MOST_WORKERS)


def jobs_of(store: Store, jobs: Iterable[str], as_of: str) -> Iterator[AuditedJob]:
    """Yield jobs of a store one after the other, as they are read for an overview."""
    how = How(as_of, quick=True, known=_register(store, Audited()))
    for stream in jobs:
        yield _job(_lines(store, stream), stream, how)


def checked(job: AuditedJob, *, quick: bool = False) -> Iterator[Finding]:
    """Yield what the checks of single jobs find in one."""
    for check in CHECKS:
        if (check.needs_whole and job.state is None) or (quick and check.is_slow):
            continue
        try:
            found = tuple(check.find(job))
        except (CommissionError, *_MALFORMED) as error:
            # A record may be whole and yet say things that no tool of ours wrote.
            said = f"The record says something that cannot be checked: {error!r}"[:300]
            found = (Finding(check.declared.id, "major", job.stream, said),)
        yield from found


def across(jobs: Iterable[AuditedJob]) -> tuple[Finding, ...]:
    """Return what the checks across jobs find in several."""
    checks = [check.begin() for check in ACROSS]
    found = [one for job in jobs for check in checks for one in check.take(check.see(job))]
    return (*found, *(one for check in checks for one in check.findings()))


def _register(store: Store, done: Audited) -> KnownRegister | None:
    try:
        return known_register(store)
    except DamagedError as error:
        done.findings.append(Finding("whole", "critical", "register", error.message))
        return None


def _lines(store: Store, stream: str) -> list[bytes] | str:
    """Return a job's lines, or in words why they cannot be read."""
    try:
        return list(store.lines(stream))
    except DamagedError as error:
        return error.message


def _job(lines: Sequence[bytes] | str, stream: str, how: How) -> AuditedJob:
    if isinstance(lines, str):
        fault = Fault(0, Reason.NOT_JSON, lines)
        register = None if how.known is None else how.known.register
        return AuditedJob(stream, GENESIS, (), (), None, fault, register, how.as_of)
    return read_job(lines, stream, how.known, how.as_of, thorough=not how.quick)
