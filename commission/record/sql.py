"""The store in a database, through SQLAlchemy Core; loaded only when a store is opened.

Tables and statements are plain SQL, in `sql_tables` and `sql_history`. What is SQLite's own is in
`sqlite`, what is PostgreSQL's in `postgres`; `backend` says what a database has to answer.
"""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from commission.errors import DamagedError, StoreError
from commission.record import sql_history, sql_tables
from commission.record.backend import SqliteBackend
from commission.record.sql_tables import (
    ADD_ENTRY,
    ENTRY,
    JOB,
    LAST,
    LINES,
    READING,
    SETTING,
    job_line,
)
from commission.record.store import (
    Change,
    JobLine,
    ReadingRow,
    SettingRow,
    StandingRow,
    VisitRow,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from commission.record.backend import Backend
    from commission.record.store import LikeQuery

_PAGE: Final = 1000
_Row = JobLine | ReadingRow | SettingRow | StandingRow | VisitRow


class SqlStore:
    """A store in one database."""

    def __init__(self, place: Path | Backend, *, create: bool = True) -> None:
        """Open the store, or make it where there is none; a path is one of a SQLite file.

        Args:
            place: of the store; a backend says itself whether it may be made.
            create: whether a file is made.

        Raises:
            StoreError: it cannot be opened, or is something else.
            SchemaError: it was made by a newer version.
            DamagedError: the file is damaged so far that nothing can be read.
        """
        self._backend: Backend = (
            SqliteBackend(place, create=create) if isinstance(place, Path) else place
        )
        self._engine = self._backend.engine()
        sa.event.listen(self._engine, "begin", self._begin)
        self._writer = self._engine.execution_options(commission_write=True)
        try:
            self._prepare()
        except BaseException:
            self.close()
            raise

    @property
    def place(self) -> str:
        """Where it is, for messages; without a password."""
        return self._backend.place

    @property
    def is_read_only(self) -> bool:
        """Whether nothing can be written, because the file or its folder forbids it."""
        return self._backend.read_only

    def append(
        self, stream: str, first: int, lines: Sequence[bytes], change: Change | None
    ) -> None:
        """Add lines and projections in one transaction, durable on return; see `Store.append`."""
        entries = [
            {"stream": stream, "seq": seq, "line": line} for seq, line in enumerate(lines, first)
        ]
        with self._writing() as connection:
            connection.execute(ADD_ENTRY, entries)
            if change is not None:
                self._apply(connection, change)

    def lines(self, stream: str, first: int = 1) -> Iterator[bytes]:
        """Yield the lines of a stream in order, a page at a time; see `Store.lines`."""
        page = _PAGE
        while True:
            try:
                with self._reading() as connection:
                    wanted = {"key": stream, "first": first, "page": page}
                    rows = connection.execute(LINES, wanted).all()
            except DamagedError:
                if page == 1:
                    raise
                page = max(1, page // 8)  # closer and closer: what stands before it is given
                continue
            for _, line in rows:
                yield bytes(line)
            if len(rows) < page:
                return
            first = rows[-1].seq + 1

    def streams(self) -> tuple[str, ...]:
        """Return the names of all streams, sorted."""
        query = sa.select(ENTRY.c.stream).distinct().order_by(ENTRY.c.stream)
        with self._reading() as connection:
            return tuple(connection.execute(query).scalars())

    def last(self, stream: str) -> tuple[int, bytes] | None:
        """Return number and line of a stream's last entry, or None."""
        with self._reading() as connection:
            row = connection.execute(LAST, {"key": stream}).one_or_none()
        return (row.seq, bytes(row.line)) if row else None

    def jobs(self) -> tuple[JobLine, ...]:
        """Return all jobs, last worked on first."""
        query = sa.select(JOB).order_by(JOB.c.last_at.desc(), JOB.c.job)
        with self._reading() as connection:
            return tuple(job_line(row) for row in connection.execute(query))

    def change_of(self, stream: str) -> Change | None:
        """Return all projections of a stream as one change, or None if it has no job row."""
        job = sa.select(JOB).where(JOB.c.job == stream)
        readings = sa.select(READING).where(READING.c.stream == stream)
        settings = sa.select(SETTING).where(SETTING.c.stream == stream)
        with self._reading() as connection:
            row = connection.execute(job).one_or_none()
            if row is None:
                return None
            standing, visit = (
                sql_history.of_stream(connection, stream) if self._has_history else ((), None)
            )
            return Change(
                job_line(row),
                tuple(ReadingRow(*each) for each in connection.execute(readings)),
                tuple(SettingRow(*each) for each in connection.execute(settings)),
                standing,
                visit,
            )

    def like(self, query: LikeQuery) -> tuple[StandingRow, ...]:
        """Return readings of a step on like bikes and on this one; see `Store.like`."""
        with self._reading() as connection:
            return sql_history.like(connection, query) if self._has_history else ()

    def last_used(self, bench: str, instruments: Sequence[str]) -> str:
        """Return which of some instruments was last read with; see `Store.last_used`."""
        with self._reading() as connection:
            known = self._has_history
            return sql_history.last_used(connection, bench, instruments) if known else ""

    def last_visit(self, frame: str, own: str) -> VisitRow | None:
        """Return the last finished job of a bike; see `Store.last_visit`."""
        with self._reading() as connection:
            return sql_history.last_visit(connection, frame, own) if self._has_history else None

    def hold(self, stream: str) -> Callable[[], None]:
        """Keep other benches from writing to a stream; see `Store.hold`."""
        with self._translated():
            return self._backend.hold(self._engine, stream)

    def rebuild(self, changes: Iterator[Change]) -> int:
        """Replace all projections by those given, in one transaction; return how many jobs."""
        count = 0
        with self._writing() as connection:
            sql_tables.clear(connection)
            sql_history.clear(connection)
            for change in changes:
                self._apply(connection, change)
                count += 1
        return count

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()
        self._backend.release()

    def _prepare(self) -> None:
        with self._reading() as connection:
            is_new = self._backend.is_new(connection)
            self._has_history = not is_new and sql_history.is_there(connection)
        if not is_new:
            self._add_history()
            return
        if self.is_read_only:
            raise StoreError(f"{self._backend.place} is empty and can only be read.")
        with self._translated():
            self._backend.before_making()
        with self._writing() as connection:
            if self._backend.is_new(connection):  # asked again: another may have been first
                sql_tables.make(connection)
                sql_history.make(connection)
                self._backend.finish_schema(connection)
        self._has_history = True

    def _add_history(self) -> None:
        """Make the tables of earlier readings in a store from before there were any."""
        if not self._has_history and not self.is_read_only:
            with self._writing() as connection:
                sql_history.make(connection)
            self._has_history = True

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._translated(), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        if self.is_read_only:
            raise StoreError(
                f"The store {self._backend.place} can only be read: nothing was recorded.",
                "Make the file and its folder writable, or name another with --store.",
            )
        with self._translated(), self._writer.begin() as connection:
            yield connection

    @contextmanager
    def _translated(self) -> Iterator[None]:
        try:
            yield
        except sa.exc.DBAPIError as error:
            cause = error.orig if isinstance(error.orig, Exception) else error
            raise self._backend.refusal_of(cause) from error
        except self._backend.driver_error as error:
            raise self._backend.refusal_of(error) from error

    def _begin(self, connection: sa.Connection) -> None:
        write = bool(connection.get_execution_options().get("commission_write"))
        self._backend.begin(connection, write=write)

    def _apply(self, connection: sa.Connection, change: Change) -> None:
        sql_tables.apply(connection, change, self._values)
        sql_history.apply(connection, change, self._values)

    def _values(self, row: _Row) -> dict[str, Any]:
        # Not `asdict`, which copies deeply: this is on the way of every answer.
        stored = self._backend.stored
        return {
            name: stored(value) if isinstance(value := getattr(row, name), str) else value
            for name in row.__slots__
        }
