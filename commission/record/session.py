"""One job being worked on: what is recorded here is durable before anyone is told so."""

from __future__ import annotations

import threading
from collections import deque
from pathlib import Path
from typing import TYPE_CHECKING, Final, Self

from commission.errors import RefusedError, UnsignedError
from commission.job.entry import Digest, Draft, Entry, Instant
from commission.job.signature import SIGNATURE
from commission.record.attachments import keep
from commission.record.clocks import Clocks, jump_between
from commission.record.line import digest_of, parse, to_line
from commission.record.projections import change
from commission.record.signing import signed_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from types import TracebackType

    from commission.job.state import JobState
    from commission.record.lock import JobLock
    from commission.record.places import Places
    from commission.record.register_book import RegisterBook
    from commission.record.sitting import Sitting
    from commission.record.store import Store
    from commission.record.workshop import Workshop

_KEPT: Final = 200
"""How many of the last entries are at hand without reading the store."""
_AT_ONCE: Final = 1000
"""More entries than this by the program itself, without a person, are a fault of its own."""


class Session:
    """The right to write to one job, and the job's state. Threads may share it."""

    def __init__(  # noqa: PLR0913  everything a session needs, given by Bench alone
        self,
        *,
        store: Store,
        places: Places,
        lock: JobLock,
        clocks: Clocks,
        bench: str,
        stream: str,
        state: JobState,
        entries: Iterable[Entry] = (),
        head: Digest,
        book: RegisterBook,
        sitting: Sitting,
        workshop: Workshop,
    ) -> None:
        self._store = store
        self._places = places
        self._lock = lock
        self._clocks = clocks
        self._bench = bench
        self._stream = stream
        self._state = state
        self._recent = deque(entries, maxlen=_KEPT)
        self._head = head
        self._book = book
        self._sitting = sitting
        self._workshop = workshop
        self._turn = threading.RLock()

    @property
    def job(self) -> str:
        """The job's id, also the name of its stream."""
        return self._stream

    @property
    def state(self) -> JobState:
        """The job's state after the last entry that is durable."""
        return self._state

    @property
    def head(self) -> Digest:
        """The digest of the last entry."""
        return self._head

    @property
    def sitting(self) -> Sitting:
        """Whose keys are open at the bench."""
        return self._sitting

    @property
    def workshop(self) -> Workshop:
        """What the bench knows beside this job."""
        return self._workshop

    def now(self) -> Instant:
        """Return this moment."""
        return self._clocks.now()

    def record(self, drafts: Iterable[Draft]) -> JobState:
        """Record drafts, all or none, durable before it returns; return the new state.

        Where the clocks disagree about the time since the last entry, an entry saying so comes
        first. No drafts: nothing is written.

        In a job of registered people what takes a signature is signed with the key that the sitting
        has open for it.

        Raises:
            UnsignedError: a signature has to be given first; nothing was written.
            IllegalEntryError: no legal job could contain one of them now; nothing was written.
            BusyError: another process wrote to this job first; nothing was written.
            StoreError: it could not be written; the state is what it was.
        """
        with self._turn:
            wanted = tuple(drafts)
            if not wanted:
                return self._state
            entries, lines, state = self._chained(wanted)
            head = digest_of(lines[-1])
            changed = change(self._state, state, entries, head)
            self._store.append(self._stream, self._state.seq + 1, lines, changed)
            self._recent.extend(entries)
            self._head, self._state = head, state
            for entry in entries:
                if entry.body.get(SIGNATURE):
                    self.sitting.spend(state.ids[entry.by])
            return state

    def taking_part(self, name: str, role: str, by: str) -> tuple[str, tuple[Draft, ...]]:
        """Return a registered person's name, and what is to be recorded for taking part as `role`.

        For jobs of registered people. A name, id or initials will do; nothing is to be recorded
        where the person takes part so already.

        Raises:
            RefusedError: nobody active in the register is meant, or without that role.
        """
        from commission.job.moves import join
        from commission.record.staffing import registered

        person = registered(self._book.register, name, (role,))
        if role in self._state.people.get(person.name, ()):
            return person.name, ()
        return person.name, (join(self._state, person.name, (role,), by, person.id),)

    def settle(self) -> JobState:
        """Record what the program itself has to record now, until nothing is left of it.

        Raises:
            StoreError: as `record`.
        """
        from commission.job.moves import automatic

        for _ in range(_AT_ONCE):
            drafts = automatic(self.state, self.now())
            if not drafts:
                return self.state
            self.record(drafts)
        raise RuntimeError("The steps that need nobody do not come to an end.")

    def recent(self, count: int) -> tuple[Entry, ...]:
        """Return the last `count` entries, oldest first; fewer where there are no more."""
        with self._turn:
            if count <= len(self._recent):
                return tuple(self._recent)[len(self._recent) - count :]
            first = max(1, self._state.seq - count + 1)
            return tuple(parse(line) for line in self._store.lines(self._stream, first))

    def lines(self) -> Iterator[bytes]:
        """Yield the job's lines as stored, in order."""
        return self._store.lines(self._stream)

    def attach(self, path: str | Path) -> dict[str, str | int]:
        """Keep a copy of a file beside the store, durable; return its given for an answer.

        Raises:
            StoreError: no file, too large, unreadable, or no room; nothing is kept.
        """
        return keep(Path(path).expanduser(), self._places.attachments)

    def close(self) -> None:
        """Give the job back to others; a second call does nothing."""
        self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    def _chained(self, drafts: Sequence[Draft]) -> tuple[list[Entry], list[bytes], JobState]:
        from commission.job.advance import advance
        from commission.job.signed import with_place

        if not self._lock.is_held:
            raise RefusedError(f"{self._stream} was given back; open it again to go on.")
        now, state, head = self.now(), self._state, self._head
        entries: list[Entry] = []
        lines: list[bytes] = []
        for draft in (*self._jump(drafts[0].by, now), *drafts):
            made = Entry(
                self._stream, state.seq + 1, now.at, now.clock, self._bench,
                draft.by, draft.kind, draft.step, draft.attempt, with_place(state, draft), head,
            )  # fmt: skip
            line = self._line(state, made)
            # Folded from the line, not from the draft: what a replay will see is what counts.
            entry = parse(line)
            state, head = advance(state, entry), digest_of(line)
            entries.append(entry)
            lines.append(line)
        return entries, lines, state

    def _line(self, state: JobState, entry: Entry) -> bytes:
        """Return an entry's line, signed where it takes a signature."""
        from commission.job.signed import meaning_of

        person = state.ids.get(entry.by, "")
        meaning = meaning_of(state, entry) if person else ""
        if not meaning:
            return to_line(entry)
        signer = self.sitting.signer(person)
        if signer is None:
            raise UnsignedError(person, entry.by, meaning)
        return signed_line(entry, meaning, signer, self._book.place)

    def _jump(self, by: str, now: Instant) -> tuple[Draft, ...]:
        if self._state.clock is None:
            return ()
        jump = jump_between(Instant(self._state.at, self._state.clock), now)
        if jump is None:
            return ()
        body = {"wall_s": jump.wall_s, "monotonic_s": jump.monotonic_s}
        return (Draft("clock_jump", by, body=body),)
