"""What a store of records does, and the values that go in and come out; one store is `sql`.

A store holds streams of lines, which only ever grow, and beside them projections: tables that say
what the lines add up to, for lists and searches. Projections are written with the lines and can
always be made again from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

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
class StandingRow:
    """A reading that stands in a job, to compare with; texts to compare by are casefolded."""

    stream: str
    step: str
    name: str
    """A step's `value`, a column of a series, `y-n` at a point of a sweep, an input."""
    seq: int
    """The entry by which it stands."""
    value: float
    """SI."""
    unit: str
    verdict: str
    at: str
    procedure: str
    frame: str
    model: str
    controller: str
    bench: str
    instrument: str
    """Id of what it was read with; empty where nothing was cited."""


@dataclass(frozen=True, slots=True)
class VisitRow:
    """A job that has ended, by the bike's frame number."""

    stream: str
    frame: str
    at: str
    procedure: str
    title: str


@dataclass(frozen=True, slots=True)
class LikeQuery:
    """Which readings to compare with: of a step, on bikes of a model or with a controller."""

    procedure: str
    step: str
    stream: str
    """The job that asks; its own are left out."""
    frame: str
    model: str
    controller: str
    most: int = 200
    """Newest rows by each likeness."""


@dataclass(frozen=True, slots=True)
class Change:
    """What new entries of a job change in the projections."""

    job: JobLine
    readings: tuple[ReadingRow, ...] = ()
    """New ones; those of earlier entries never change."""
    settings: tuple[SettingRow, ...] = ()
    """Each replaces the row of its setting."""
    standing: tuple[StandingRow, ...] = ()
    """Readings that stand; they replace those of their steps."""
    visit: VisitRow | None = None
    """Where the job has just ended."""


class Store(Protocol):
    """Where streams are kept."""

    @property
    def place(self) -> str:
        """Where it is, for messages; without a password."""

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

    def like(self, query: LikeQuery) -> tuple[StandingRow, ...]:
        """Return readings of a step on like bikes and, earlier, on this one; newest first."""

    def last_used(self, bench: str, instruments: Sequence[str]) -> str:
        """Return which of some instruments was last read with on a bench; empty for none."""

    def last_visit(self, frame: str, own: str) -> VisitRow | None:
        """Return the last job that ended of the bike with a frame number, other than `own`."""

    def hold(self, stream: str) -> Callable[[], None]:
        """Keep other benches from writing to a stream; return what lets go of it.

        Of a store in a file it does nothing: there the lock file serves. Whoever ignores it is
        still refused by `append`.

        Raises:
            BusyError: another bench holds it.
        """

    def rebuild(self, changes: Iterator[Change]) -> int:
        """Replace all projections by those given, in one transaction; return how many jobs."""

    def close(self) -> None:
        """Let go of the file."""
