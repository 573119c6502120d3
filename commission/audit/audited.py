"""A job as an audit reads it: its entries, what they add up to, or why they add up to nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.audit.anew import Anew
from commission.errors import DamagedError
from commission.job.entry import GENESIS
from commission.record.chain import Fault, Reason
from commission.record.line import parse
from commission.record.reading import examine_and_read, fold, gaps_of
from commission.record.signatures import first_fault

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.job.entry import Digest, Entry
    from commission.job.state import JobState
    from commission.job.working import Working
    from commission.record.signatures import KnownRegister
    from commission.register.state import Register


@dataclass(frozen=True, slots=True)
class AuditedJob:
    """One job's record, read for an audit."""

    stream: str
    head: Digest
    entries: tuple[Entry, ...]
    """Those before the fault, where there is one."""
    gaps: tuple[float, ...]
    """Seconds since the entry before, for each; within one start of a machine by its clock."""
    state: JobState | None
    """After all entries; None where the record is not whole."""
    fault: Fault | None
    """Why it is not whole."""
    register: Register | None
    """The workshop's register as it stands now, which answers for any time; None: there is none."""
    as_of: str
    """The moment of the audit (RFC 3339)."""
    anew: Anew | None = None
    """Its answers judged anew, where that was done as it was read."""

    @property
    def is_practice(self) -> bool:
        """Whether the job says that it is practice."""
        return bool(self.entries) and bool(self.entries[0].body.get("practice"))

    @property
    def is_released(self) -> bool:
        """Whether the job ended in release, or all its steps were done."""
        state = self.state
        return state is not None and (
            state.outcome == "released"
            or (not state.outcome and state.frontier >= len(state.plan.steps))
        )


def read_job(
    lines: Sequence[bytes], stream: str, known: KnownRegister | None, as_of: str, *, thorough: bool
) -> AuditedJob:
    """Return a job's record as it is read from its lines.

    Args:
        lines: as stored.
        stream: its name.
        known: the register to hold signatures against, where there is one.
        as_of: the moment of the audit.
        thorough: whether each answer is judged anew on the way.
    """
    judged: list[Anew] = []

    def watch(entries: Sequence[Entry]) -> Callable[[Working, Entry], None]:
        judged.append(Anew(entries, repeats=True))
        return judged[-1].watch

    examined, found = examine_and_read(lines, stream=stream, watch=watch if thorough else None)
    fault = examined.fault or found.fault
    if fault is None and found.state is None:
        fault = Fault(1, Reason.ILLEGAL, "it is no job's record")
    fault = fault or first_fault(lines, found.entries, known)
    if fault is not None:
        return _not_whole(lines, stream, examined.head, fault, known, as_of)
    register = None if known is None else known.register
    return AuditedJob(
        stream, examined.head, found.entries, found.gaps, found.state, None, register, as_of,
        judged[-1] if judged else None,
    )  # fmt: skip


def from_entries(entries: Sequence[Entry], as_of: str) -> AuditedJob:
    """Return a job kept in memory (of a simulation), without lines to verify.

    Raises:
        DamagedError: the entries are no legal job's.
    """
    gaps, _ = gaps_of(entries)
    return AuditedJob(
        entries[0].stream, GENESIS, tuple(entries), gaps, fold(entries), None, None, as_of
    )


def with_state(entries: Sequence[Entry], state: JobState, as_of: str) -> AuditedJob:
    """Return a job kept in memory whose state is known already."""
    gaps, _ = gaps_of(entries)
    return AuditedJob(entries[0].stream, GENESIS, tuple(entries), gaps, state, None, None, as_of)


def _not_whole(
    lines: Sequence[bytes],
    stream: str,
    head: Digest,
    fault: Fault,
    known: KnownRegister | None,
    as_of: str,
) -> AuditedJob:
    entries: list[Entry] = []
    for line in lines[: max(0, fault.seq - 1)]:
        try:
            entries.append(parse(line))
        except DamagedError:
            break
    register = None if known is None else known.register
    gaps, _ = gaps_of(entries)
    return AuditedJob(stream, head, tuple(entries[: len(gaps)]), gaps, None, fault, register, as_of)
