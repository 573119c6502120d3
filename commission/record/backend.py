"""What a store needs to know of its database, and SQLite's answers; `postgres` has the other's."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import sqlalchemy as sa

from commission.record import sqlite

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.errors import RecordError


class Backend(Protocol):
    """One database: how it is opened, made ready, and what its refusals mean."""

    @property
    def place(self) -> str:
        """Where it is, for messages; without a password."""

    @property
    def read_only(self) -> bool:
        """Whether nothing can be written."""

    @property
    def driver_error(self) -> type[Exception]:
        """What the driver raises outside SQLAlchemy's care."""

    def engine(self) -> sa.Engine:
        """Return an engine whose transactions are durable when committed."""

    def begin(self, connection: sa.Connection, *, write: bool) -> None:
        """Begin a transaction where the driver leaves that to us."""

    def is_new(self, connection: sa.Connection) -> bool:
        """Return whether the schema has yet to be made.

        Raises:
            StoreError: it is a database of something else.
            SchemaError: it was made by a newer version.
        """

    def before_making(self) -> None:
        """Do what cannot be done inside the transaction that makes the schema."""

    def finish_schema(self, connection: sa.Connection) -> None:
        """Add what plain SQL does not have: the triggers, and the marks of a store."""

    def refusal_of(self, error: Exception) -> RecordError:
        """Return what a driver's error means to this program."""

    def hold(self, engine: sa.Engine, stream: str) -> Callable[[], None]:
        """See `Store.hold`."""

    def stored(self, text: str) -> str:
        """Return text as the projections' columns can hold it; entries are never touched."""

    def release(self) -> None:
        """Let go of what only this process holds."""


class SqliteBackend:
    """One SQLite file."""

    def __init__(self, path: Path, *, create: bool) -> None:
        """See `sqlite.opening_of`."""
        self._path = path
        self._opening = sqlite.opening_of(path, create=create)

    @property
    def place(self) -> str:
        """The file's path."""
        return str(self._path)

    @property
    def read_only(self) -> bool:
        """Whether the file or its folder forbids writing."""
        return self._opening.read_only

    @property
    def driver_error(self) -> type[Exception]:
        """SQLite's."""
        return sqlite.DriverError

    def engine(self) -> sa.Engine:
        """Return an engine on the file."""
        return sa.create_engine(
            "sqlite://", creator=self._opening.connect, poolclass=sa.pool.QueuePool
        )

    def begin(self, connection: sa.Connection, *, write: bool) -> None:
        """Begin; a writer takes the write lock at once: what it reads then stays true."""
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

    def is_new(self, connection: sa.Connection) -> bool:
        """Return whether the file has no schema yet."""

        def number(query: str) -> int:
            return int(connection.exec_driver_sql(query).scalar_one())

        return sqlite.check_version(
            self._path,
            number("PRAGMA application_id"),
            number("PRAGMA user_version"),
            number("SELECT count(*) FROM sqlite_master"),
        )

    def before_making(self) -> None:
        """Turn the file to write-ahead logging, which it then keeps."""
        self._opening.keep_a_log()

    def finish_schema(self, connection: sa.Connection) -> None:
        """Add triggers and marks."""
        for trigger in sqlite.TRIGGERS:
            connection.exec_driver_sql(trigger)
        connection.exec_driver_sql(f"PRAGMA application_id={sqlite.APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version={sqlite.SCHEMA_VERSION}")

    def refusal_of(self, error: Exception) -> RecordError:
        """Return what SQLite's error means."""
        return sqlite.refusal_of(error, self._path)

    def hold(self, engine: sa.Engine, stream: str) -> Callable[[], None]:
        """Do nothing: whoever can open the file sees the lock file beside it."""
        del engine, stream
        return _nothing_to_let_go

    def stored(self, text: str) -> str:
        """Return the text: SQLite holds any."""
        return text

    def release(self) -> None:
        """Remove the private copy of a file in a read-only folder."""
        self._opening.release()


def _nothing_to_let_go() -> None:
    pass
