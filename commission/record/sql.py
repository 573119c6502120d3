"""The store in a database, through SQLAlchemy Core; loaded only when a store is opened.

Tables and statements here are plain SQL. What is SQLite's own is in `sqlite`, what is PostgreSQL's
in `postgres`; `backend` says what a database has to answer.
"""

from __future__ import annotations

import dataclasses
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from commission.errors import DamagedError, StoreError
from commission.job.entry import Digest
from commission.record import sql_history
from commission.record.backend import SqliteBackend
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

_METADATA: Final = sa.MetaData()
_ENTRY: Final = sa.Table(
    "entry",
    _METADATA,
    sa.Column("stream", sa.String, primary_key=True),
    sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("line", sa.LargeBinary, nullable=False),
    sqlite_with_rowid=False,
)


def _projection(name: str, row: type, *keys: str) -> sa.Table:
    types: dict[str, type[sa.types.TypeEngine[Any]]] = {
        "int": sa.Integer, "bool": sa.Boolean, "str": sa.String, "Digest": sa.String,
    }  # fmt: skip
    columns = (
        sa.Column(
            field.name, types[str(field.type)], primary_key=field.name in keys, nullable=False
        )
        for field in dataclasses.fields(row)
    )
    return sa.Table(name, _METADATA, *columns)


_JOB: Final = _projection("job", JobLine, "job")
_READING: Final = _projection("reading", ReadingRow, "stream", "seq", "part", "name")
_SETTING: Final = _projection("setting", SettingRow, "stream", "setting")
sa.Index("reading_by_step", _READING.c.step, _READING.c.name)

_ADD_ENTRY: Final = _ENTRY.insert()
_ADD_JOB: Final = _JOB.insert()
_ADD_READING: Final = _READING.insert()
_ADD_SETTING: Final = _SETTING.insert()
_SET_JOB: Final = (
    _JOB.update()
    .where(_JOB.c.job == sa.bindparam("key"))
    .values({name: sa.bindparam(name) for name in _JOB.c.keys() if name != "job"})  # noqa: SIM118
)
_DROP_SETTING: Final = _SETTING.delete().where(
    _SETTING.c.stream == sa.bindparam("key"), _SETTING.c.setting == sa.bindparam("which")
)
_BYTES: Final = sa.cast(_ENTRY.c.line, sa.LargeBinary).label("line")
"""Bytes whatever a meddler put there: SQLite's columns take any type."""
_LINES: Final = (
    sa.select(_ENTRY.c.seq, _BYTES)
    .where(_ENTRY.c.stream == sa.bindparam("key"), _ENTRY.c.seq >= sa.bindparam("first"))
    .order_by(_ENTRY.c.seq)
    .limit(sa.bindparam("page"))
)
_LAST: Final = (
    sa.select(_ENTRY.c.seq, _BYTES)
    .where(_ENTRY.c.stream == sa.bindparam("key"))
    .order_by(_ENTRY.c.seq.desc())
    .limit(1)
)
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
            connection.execute(_ADD_ENTRY, entries)
            if change is not None:
                self._apply(connection, change)

    def lines(self, stream: str, first: int = 1) -> Iterator[bytes]:
        """Yield the lines of a stream in order, a page at a time; see `Store.lines`."""
        page = _PAGE
        while True:
            try:
                with self._reading() as connection:
                    wanted = {"key": stream, "first": first, "page": page}
                    rows = connection.execute(_LINES, wanted).all()
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
        query = sa.select(_ENTRY.c.stream).distinct().order_by(_ENTRY.c.stream)
        with self._reading() as connection:
            return tuple(connection.execute(query).scalars())

    def last(self, stream: str) -> tuple[int, bytes] | None:
        """Return number and line of a stream's last entry, or None."""
        with self._reading() as connection:
            row = connection.execute(_LAST, {"key": stream}).one_or_none()
        return (row.seq, bytes(row.line)) if row else None

    def jobs(self) -> tuple[JobLine, ...]:
        """Return all jobs, last worked on first."""
        query = sa.select(_JOB).order_by(_JOB.c.last_at.desc(), _JOB.c.job)
        with self._reading() as connection:
            return tuple(_job_line(row) for row in connection.execute(query))

    def change_of(self, stream: str) -> Change | None:
        """Return all projections of a stream as one change, or None if it has no job row."""
        job = sa.select(_JOB).where(_JOB.c.job == stream)
        readings = sa.select(_READING).where(_READING.c.stream == stream)
        settings = sa.select(_SETTING).where(_SETTING.c.stream == stream)
        with self._reading() as connection:
            row = connection.execute(job).one_or_none()
            if row is None:
                return None
            standing, visit = (
                sql_history.of_stream(connection, stream) if self._has_history else ((), None)
            )
            return Change(
                _job_line(row),
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
            for table in (_JOB, _READING, _SETTING):
                connection.execute(table.delete())
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
                _METADATA.create_all(connection)
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
        job = self._values(change.job)
        if connection.execute(_SET_JOB, {**job, "key": job.pop("job")}).rowcount == 0:
            connection.execute(_ADD_JOB, self._values(change.job))
        if change.readings:
            connection.execute(_ADD_READING, [self._values(row) for row in change.readings])
        if change.settings:
            keys = [{"key": row.stream, "which": row.setting} for row in change.settings]
            connection.execute(_DROP_SETTING, keys)
            connection.execute(_ADD_SETTING, [self._values(row) for row in change.settings])
        sql_history.apply(connection, change, self._values)

    def _values(self, row: _Row) -> dict[str, Any]:
        # Not `asdict`, which copies deeply: this is on the way of every answer.
        stored = self._backend.stored
        return {
            name: stored(value) if isinstance(value := getattr(row, name), str) else value
            for name in row.__slots__
        }


def _job_line(row: sa.Row[Any]) -> JobLine:
    values = row._asdict()
    return JobLine(**{**values, "head": Digest(values["head"])})
