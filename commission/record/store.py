"""What a store of records does, and the values that go in and come out; one store is `sql`.

A store holds streams of lines, which only ever grow, and beside them projections: tables that say
what the lines add up to, for lists and searches. Projections are written with the lines and can
always be made again from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.job.entry import Digest


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job, as a list shows it."""

    job: str
    """Its id, also the name of its stream."""
    bike: str
    procedure: str
    revision: int
    title: str
    """The procedure's."""
    step_title: str
    """Of the open step; empty when the job has ended."""
    done: int
    """Steps settled."""
    total: int
    status: str
    """How the job stands, in words."""
    opened_at: str
    last_at: str
    by: str
    """Who made the last entry."""
    practice: bool
    outcome: str
    """Empty while the job is open."""
    seq: int
    """The number of the last entry."""
    head: Digest
    """The digest of the last entry."""

    @property
    def is_finished(self) -> bool:
        """Whether the job has ended."""
        return bool(self.outcome)


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One number that was given in a job, as typed."""

    stream: str
    seq: int
    part: str
    name: str
    """The key under which it was given: a step's `value`, a column, a setting's id."""
    step: str
    attempt: int
    typed: str
    unit: str
    at: str
    by: str


@dataclass(frozen=True, slots=True)
class SettingRow:
    """How one setting stands in a job; empty texts where nothing is known."""

    stream: str
    setting: str
    found: str
    intended: str
    written: str
    left_values: str
    """As read after each power cycle, oldest first, joined by ` · `."""
    fate: str


@dataclass(frozen=True, slots=True)
class Change:
    """What new entries of a job change in the projections."""

    job: JobLine
    readings: tuple[ReadingRow, ...] = ()
    """New ones; those of earlier entries never change."""
    settings: tuple[SettingRow, ...] = ()
    """Each replaces the row of its setting."""


class Store(Protocol):
    """Where streams are kept."""

    @property
    def is_read_only(self) -> bool:
        """Whether nothing can be written, because the file or its folder forbids it."""

    def append(
        self, stream: str, first: int, lines: Sequence[bytes], change: Change | None
    ) -> None:
        """Add lines as entries `first`, `first` + 1, … with their projections; all or nothing.

        They are durable when this returns.

        Raises:
            BusyError: entry `first` is there already, or its predecessor is not; nothing written.
            StoreError: it could not be written; what was there before is untouched.
        """

    def lines(self, stream: str, first: int = 1) -> Iterator[bytes]:
        """Yield the lines of a stream in order, from entry `first`; none if there is no such.

        Raises:
            DamagedError: part of the file cannot be read; lines before it were given.
        """

    def streams(self) -> tuple[str, ...]:
        """Return the names of all streams, sorted."""

    def last(self, stream: str) -> tuple[int, bytes] | None:
        """Return number and line of a stream's last entry, or None."""

    def jobs(self) -> tuple[JobLine, ...]:
        """Return all jobs, last worked on first."""

    def change_of(self, stream: str) -> Change | None:
        """Return all projections of a stream as one change, or None if it has no job row."""

    def rebuild(self, changes: Iterator[Change]) -> int:
        """Replace all projections by those given, in one transaction; return how many jobs."""

    def close(self) -> None:
        """Let go of the file."""
