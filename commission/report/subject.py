"""What a report is about: a job as its record says it, with everything the sheets look up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import DamagedError, RefusedError
from commission.job.withheld import refuse_while_withheld

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.job.entry import Digest, Entry
    from commission.job.state import JobState, Opened
    from commission.record.bench import Bench


@dataclass(frozen=True, slots=True)
class Subject:
    """A job, all its entries and the digest of the newest."""

    state: JobState
    entries: tuple[Entry, ...]
    head: Digest
    checked: bool = False
    """Whether signatures were held against the register of this bench."""

    @property
    def opened(self) -> Opened:
        """What the first entry says."""
        if self.state.opened is None:
            raise RefusedError("A record without an opening is no job: there is nothing to report.")
        return self.state.opened

    @property
    def frame(self) -> str:
        """The bike's frame number and model."""
        bike = self.opened.bike
        return " · ".join(text for text in (bike.get("frame"), bike.get("model")) if text)

    def of(self, step: str) -> Iterator[Entry]:
        """Yield the entries about a step, in order."""
        return (entry for entry in self.entries if entry.step == step)


def subject_of(bench: Bench, job: str) -> Subject:
    """Return a job of a bench, its chain and its signatures checked.

    Raises:
        RefusedError: there is no such job, or an independent witness has yet to read in it.
        DamagedError: its record is not whole, or a signature in it does not hold; says where.
        StoreError: it cannot be read.
    """
    from commission.record.chain import verify
    from commission.record.line import parse
    from commission.record.reading import fold
    from commission.record.signatures import first_fault
    from commission.record.verifying import known_register

    lines: Sequence[bytes] = list(bench.lines(job))
    if not lines:
        raise RefusedError(f"There is no job {job!r}.", "`commission jobs` lists the jobs.")
    head = verify(lines, stream=job)
    entries = [parse(line) for line in lines]
    if entries[0].kind != "opened":
        raise RefusedError(f"{job!r} is a record, but no job.", "`commission jobs` lists the jobs.")
    known = known_register(bench.store)
    fault = first_fault(lines, entries, known)
    if fault is not None:
        raise DamagedError(f"{job} is not whole: {fault}.", "`commission verify` says more.")
    state = fold(entries)
    refuse_while_withheld(state)
    return Subject(state, tuple(entries), head, checked=known is not None)
