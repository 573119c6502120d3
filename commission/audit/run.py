"""One audit run: jobs read one after the other, each check made, nothing kept of them but findings.

Memory does not grow with the number of jobs, but for the findings and what checks across jobs
remember, which is a little for each person.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from commission.audit.audited import AuditedJob, read_job
from commission.audit.catalogue import ACROSS, CHECKS
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


@dataclass(frozen=True, slots=True)
class Looked:
    """One job that was audited, as an audit's record names it."""

    job: str
    entries: int
    head: Digest
    people: frozenset[str]
    """Who made entries in it."""


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
) -> Audited:
    """Audit jobs of a store.

    Args:
        store: where they are.
        jobs: ids, in the order in which they were opened: checks across jobs look back.
        as_of: the moment of the audit (RFC 3339).
        quick: leaves out slow checks; verdicts are then judged again from their own numbers only.
        progress: told after each job how many are done.

    Raises:
        StoreError: the store cannot be read.
    """
    done = Audited()
    known = _register(store, done)
    across = [check.begin() for check in ACROSS]
    for number, stream in enumerate(jobs, 1):
        job = _read(store, stream, known, as_of, thorough=not quick)
        done.entries += len(job.entries)
        done.findings += checked(job, quick=quick)
        if job.state is not None:
            for check in across:
                done.findings += check.take(job)
        by = frozenset(entry.by for entry in job.entries)
        done.looked.append(Looked(stream, len(job.entries), job.head, by))
        if progress is not None:
            progress(number)
    for check in across:
        done.findings += check.findings()
    return done


def jobs_of(store: Store, jobs: Iterable[str], as_of: str) -> Iterator[AuditedJob]:
    """Yield jobs of a store one after the other, as they are read for an overview."""
    done = Audited()
    known = _register(store, done)
    for stream in jobs:
        yield _read(store, stream, known, as_of, thorough=False)


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
    found = [one for job in jobs for check in checks for one in check.take(job)]
    return (*found, *(one for check in checks for one in check.findings()))


def _register(store: Store, done: Audited) -> KnownRegister | None:
    try:
        return known_register(store)
    except DamagedError as error:
        done.findings.append(Finding("whole", "critical", "register", error.message))
        return None


def _read(
    store: Store, stream: str, known: KnownRegister | None, as_of: str, *, thorough: bool
) -> AuditedJob:
    try:
        lines = list(store.lines(stream))
    except DamagedError as error:
        fault = Fault(0, Reason.NOT_JSON, error.message)
        register = None if known is None else known.register
        return AuditedJob(stream, GENESIS, (), (), None, fault, register, as_of)
    return read_job(lines, stream, known, as_of, thorough=thorough)
