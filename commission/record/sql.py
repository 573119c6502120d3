"""The store in a database, through SQLAlchemy Core; loaded only when a store is opened.

Tables and statements here are plain SQL. What is SQLite's own is in `sqlite`.
"""

from __future__ import annotations

import dataclasses
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from commission.errors import StoreError
from commission.job.entry import Digest
from commission.record import sqlite
from commission.record.store import Change, JobLine, ReadingRow, SettingRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

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


class SqlStore:
    """A store in one SQLite file."""

    def __init__(self, path: Path, *, create: bool = True) -> None:
        """Open the store, or make it where there is none and `create` allows it.

        Raises:
            StoreError: it cannot be opened, or is something else.
            SchemaError: it was made by a newer version.
            DamagedError: the file is damaged so far that nothing can be read.
        """
        self._path = path
        self._opening = sqlite.opening_of(path, create=create)
        self._engine = sa.create_engine(
            "sqlite://",
            creator=self._opening.connect,
            poolclass=sa.pool.QueuePool,
        )
        sa.event.listen(self._engine, "begin", _begin)
        self._writer = self._engine.execution_options(commission_write=True)
        try:
            self._prepare()
        except BaseException:
            self.close()
            raise

    @property
    def is_read_only(self) -> bool:
        """Whether nothing can be written, because the file or its folder forbids it."""
        return self._opening.read_only

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
                _apply(connection, change)

    def lines(self, stream: str, first: int = 1) -> Iterator[bytes]:
        """Yield the lines of a stream in order, a page at a time; see `Store.lines`."""
        page = 1
        while True:
            # Small at first: lines before a damaged place are then given before it is met.
            wanted = {"key": stream, "first": first, "page": page}
            with self._reading() as connection:
                rows = connection.execute(_LINES, wanted).all()
            for row in rows:
                yield bytes(row.line)
            if len(rows) < page:
                return
            first = rows[-1].seq + 1
            page = min(page * 4, _PAGE)

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
            return Change(
                _job_line(row),
                tuple(ReadingRow(*each) for each in connection.execute(readings)),
                tuple(SettingRow(*each) for each in connection.execute(settings)),
            )

    def rebuild(self, changes: Iterator[Change]) -> int:
        """Replace all projections by those given, in one transaction; return how many jobs."""
        count = 0
        with self._writing() as connection:
            for table in (_JOB, _READING, _SETTING):
                connection.execute(table.delete())
            for change in changes:
                _apply(connection, change)
                count += 1
        return count

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()
        self._opening.release()

    def _prepare(self) -> None:
        with self._reading() as connection:
            is_new = self._is_new(connection)
        if not is_new:
            return
        if self.is_read_only:
            raise StoreError(f"{self._path} is empty and can only be read.")
        with self._translated():
            self._opening.keep_a_log()
        with self._writing() as connection:
            if self._is_new(connection):  # asked again: another process may have been first
                _METADATA.create_all(connection)
                for trigger in sqlite.TRIGGERS:
                    connection.exec_driver_sql(trigger)
                connection.exec_driver_sql(f"PRAGMA application_id={sqlite.APPLICATION_ID}")
                connection.exec_driver_sql(f"PRAGMA user_version={sqlite.SCHEMA_VERSION}")

    def _is_new(self, connection: sa.Connection) -> bool:
        def number(query: str) -> int:
            return int(connection.exec_driver_sql(query).scalar_one())

        return sqlite.check_version(
            self._path,
            number("PRAGMA application_id"),
            number("PRAGMA user_version"),
            number("SELECT count(*) FROM sqlite_master"),
        )

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._translated(), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        if self.is_read_only:
            raise StoreError(
                f"The store {self._path} can only be read: nothing was recorded.",
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
            raise sqlite.refusal_of(cause, self._path) from error
        except sqlite.DriverError as error:
            raise sqlite.refusal_of(error, self._path) from error


def _begin(connection: sa.Connection) -> None:
    # A writer takes the write lock at once: what it reads then stays true until it commits.
    write = connection.get_execution_options().get("commission_write")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


def _apply(connection: sa.Connection, change: Change) -> None:
    job = _values(change.job)
    if connection.execute(_SET_JOB, {**job, "key": job.pop("job")}).rowcount == 0:
        connection.execute(_ADD_JOB, _values(change.job))
    if change.readings:
        connection.execute(_ADD_READING, [_values(row) for row in change.readings])
    if change.settings:
        keys = [{"key": row.stream, "which": row.setting} for row in change.settings]
        connection.execute(_DROP_SETTING, keys)
        connection.execute(_ADD_SETTING, [_values(row) for row in change.settings])


def _values(row: JobLine | ReadingRow | SettingRow) -> dict[str, Any]:
    # Not `asdict`, which copies deeply: this is on the way of every answer.
    return {name: getattr(row, name) for name in row.__slots__}


def _job_line(row: sa.Row[Any]) -> JobLine:
    values = row._asdict()
    return JobLine(**{**values, "head": Digest(values["head"])})
