"""One place of work: its store, the jobs in it, and the way into each."""

from __future__ import annotations

import os
import re
import secrets
from typing import TYPE_CHECKING, Any, Final, Self

from commission import __version__
from commission.errors import BusyError, ProcedureError, RefusedError, StoreError
from commission.job.entry import GENESIS, Digest, Draft, Entry
from commission.record import clocks as machine_clocks
from commission.record import staffing
from commission.record.chain import verify
from commission.record.keys import KeyFolder
from commission.record.line import parse
from commission.record.lock import JobLock
from commission.record.places import Places, bench_name, places_of
from commission.record.reading import fold
from commission.record.register_book import RegisterBook
from commission.record.session import Session
from commission.record.sitting import Sitting

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from commission.job.state import JobState
    from commission.procedure.load import Loaded
    from commission.record.clocks import Clocks
    from commission.record.store import JobLine, Store

_LETTERS: Final = "BCDFGHJKLMNPQRSTVWXZ"
"""No vowels, so no words; no letter that is read as a digit."""
_TRIES: Final = 20
JOB_ID: Final = re.compile(r"\d{8}-[A-Z]{4}")


def any_letters() -> str:
    """Return four letters that tell the jobs of one day apart: one of 160 000."""
    return "".join(secrets.choice(_LETTERS) for _ in range(4))


def open_store(places: Places, *, create: bool) -> Store:
    """Open the store of `places`.

    Raises:
        StoreError: there is none and none is to be made, or it cannot be opened.
    """
    from commission.record.sql import SqlStore  # a seventh of a second

    if not places.server:
        return SqlStore(places.store, create=create)
    from commission.record.postgres import PostgresBackend

    return SqlStore(PostgresBackend(places.server, create=create))


class Bench:
    """An opened store with its jobs; see `open`. Threads may share it."""

    def __init__(
        self,
        store: Store,
        places: Places,
        name: str,
        clocks: Clocks,
        letters: Callable[[], str] = any_letters,
    ) -> None:
        self.store = store
        self.places = places
        self.name = name
        self.clocks = clocks
        """What entries of this bench are dated by."""
        self.letters = letters
        """Gives the letters of a new id."""
        self.book = RegisterBook(store, clocks, name)
        """The register: people, roles, keys."""
        self.keys = KeyFolder(places.keys)
        self.sitting = Sitting(self.book, self.keys, clocks)
        """Whose keys are open here."""

    @classmethod
    def open(
        cls,
        url_or_path: str | Path | None = None,
        name: str | None = None,
        *,
        create: bool = True,
        clocks: Clocks | None = None,
        letters: Callable[[], str] = any_letters,
    ) -> Self:
        """Open a bench; where nothing more is allowed, only to read.

        Args:
            url_or_path: of the store; None is the one of this user, or `$COMMISSION_STORE`.
            name: how the bench is called in entries; None is its usual name.
            create: whether a store is made where there is none.
            clocks: None is the machine's.
            letters: gives the letters of a new job's id.

        Raises:
            StoreError: there is no such store, or it cannot be opened.
            SchemaError: it was made by a newer version.
            DamagedError: nothing in it can be read.
        """
        places = places_of(url_or_path or os.environ.get("COMMISSION_STORE") or None)
        store = open_store(places, create=create)
        return cls(store, places, name or bench_name(), clocks or machine_clocks.machine(), letters)

    def jobs(self) -> tuple[JobLine, ...]:
        """Return all jobs, last worked on first."""
        return self.store.jobs()

    def start(
        self,
        loaded: Loaded,
        bike: Mapping[str, str],
        people: Mapping[str, Sequence[str]],
        by: str,
        *,
        practice: bool = False,
    ) -> Session:
        """Open a new job on a bike; its first entry embeds the whole procedure.

        Args:
            loaded: a procedure without errors.
            bike: `frame`, `model` and what else is known of it, as text.
            people: name to roles; on a bench with registered people a name, id or initials, and
                the register has to know them in these roles.
            by: who starts it, one of `people`.
            practice: whether it is practice; the record says so for ever.

        Raises:
            ProcedureError: the procedure has errors.
            RefusedError: somebody is not in the register, or not in that role.
            IllegalEntryError: no job can begin so; nothing was written.
            StoreError: it could not be written.
        """
        if loaded.procedure is None:
            raise ProcedureError("The procedure has errors.", "`commission check` lists them.")
        from commission.job.advance import begin
        from commission.job.plan import from_record

        # Planned from the text that is recorded: what a later reader of the record will plan from.
        state = begin(from_record(loaded.text))
        procedure = {
            "id": loaded.procedure.procedure,
            "revision": loaded.procedure.revision,
            "digest": loaded.digest,
            "text": loaded.text,
        }
        staff = staffing.staff_of(self.book, people, by, practice=practice)
        body = {
            "job": "",
            "bike": dict(bike),
            "procedure": procedure,
            "practice": practice,
            "people": list(staff.people),
            "tool": f"commission {__version__}",
            **staff.anchor,
        }
        for _ in range(_TRIES):
            session = self._started(state, {**body, "job": self._new_id()}, staff.by)
            if session is not None:
                return session
        raise StoreError("No unused id was found for the job.", "Try again.")

    def resume(self, job: str) -> Session:
        """Go on with a job: take its lock, check its chain, fold its entries.

        Raises:
            RefusedError: there is no such job.
            BusyError: another process holds it; says which.
            DamagedError: its record is not whole; says where. It can still be read.
            StoreError: it cannot be read, or the store can only be read.
        """
        self._require(job)
        self._refuse_read_only(job)
        lock = self._lock(job)
        try:
            entries, head = self._entries(job)
            state = fold(entries)
        except BaseException:
            lock.release()
            raise
        return self._session(job, state, lock, entries, head)

    def look(self, job: str) -> JobState:
        """Return a job's state without taking it from whoever works on it.

        Raises:
            RefusedError: there is no such job.
            DamagedError: its record is not whole; says where.
            StoreError: it cannot be read.
        """
        self._require(job)
        entries, _ = self._entries(job)
        return fold(entries)

    def lines(self, stream: str) -> Iterator[bytes]:
        """Yield the lines of a stream (a job's id names its own) as stored, unchecked."""
        return self.store.lines(stream)

    def close(self) -> None:
        """Let go of the store."""
        self.store.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _started(self, state: JobState, body: Mapping[str, Any], by: str) -> Session | None:
        job = str(body["job"])
        if self.store.last(job) is not None:
            return None
        self._refuse_read_only("A new job")
        session = self._session(job, state, self._lock(job), (), GENESIS)
        try:
            session.record([Draft("opened", by, body=body)])
        except BusyError:
            session.close()
            return None  # another bench process took the same id in this very moment
        except BaseException:
            session.close()
            raise
        return session

    def _new_id(self) -> str:
        day = self.clocks.now().at[:10].replace("-", "")
        return f"{day}-{self.letters()}"

    def _require(self, job: str) -> None:
        if not JOB_ID.fullmatch(job) or self.store.last(job) is None:
            raise RefusedError(
                f"There is no job {job!r} in {self.store.place}.", "`commission jobs` lists them."
            )

    def _refuse_read_only(self, what: str) -> None:
        if self.store.is_read_only:
            raise StoreError(
                f"{what} cannot be written: {self.store.place} can only be read.",
                "Make the file and its folder writable, or name another store with --store.",
            )

    def _lock(self, job: str) -> JobLock:
        lock = JobLock.take(self.places.locks, job, self.clocks.now().at)
        try:
            lock.holds_also(self.store.hold(job))
        except BaseException:
            lock.release()
            raise
        return lock

    def hold(self, stream: str) -> JobLock:
        """Keep everybody else from writing to a stream, until the lock is released or left.

        Raises:
            BusyError: another process holds it.
        """
        return self._lock(stream)

    def _entries(self, job: str) -> tuple[list[Entry], Digest]:
        lines = list(self.store.lines(job))
        head = verify(lines, stream=job)
        return [parse(line) for line in lines], head

    def _session(
        self, job: str, state: JobState, lock: JobLock, entries: Sequence[Entry], head: Digest
    ) -> Session:
        from commission.record.workshop import Workshop  # not before the first paint

        return Session(
            store=self.store, places=self.places, lock=lock, clocks=self.clocks, bench=self.name,
            stream=job, state=state, entries=entries, head=head, book=self.book,
            sitting=self.sitting,
            workshop=Workshop(self.store, self.book, self.name, job, self.look),
        )  # fmt: skip
