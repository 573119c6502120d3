"""The one place that knows PostgreSQL: the store that several benches share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import sqlalchemy as sa

from commission.errors import BusyError, RecordError, SchemaError, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable

    from psycopg import Connection

SCHEMA_VERSION: Final = 1
MARK: Final = "commission"
_WAIT_S: Final = 5
"""For a connection, and for a lock."""
_MEND: Final = "Check that the server runs and that this bench may use it."
_NOTHING: Final = "nothing was recorded"

_SCHEMA: Final = (
    "CREATE TABLE about (what text PRIMARY KEY, value text NOT NULL)",
    """
    CREATE FUNCTION entry_is_never_changed() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'entries are never changed or removed'; END $$
    """,
    """
    CREATE TRIGGER entry_is_never_changed BEFORE UPDATE OR DELETE ON entry
    FOR EACH ROW EXECUTE FUNCTION entry_is_never_changed()
    """,
    """
    CREATE TRIGGER entry_is_never_emptied BEFORE TRUNCATE ON entry
    FOR EACH STATEMENT EXECUTE FUNCTION entry_is_never_changed()
    """,
    # Two writers may both see the same last entry; the primary key then refuses the second.
    """
    CREATE FUNCTION entry_follows_the_last() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF NEW.seq <> 1 + (SELECT coalesce(max(seq), 0) FROM entry WHERE stream = NEW.stream) THEN
            RAISE EXCEPTION 'the entry does not follow the last one' USING ERRCODE = '23505';
        END IF;
        RETURN NEW;
    END $$
    """,
    """
    CREATE TRIGGER entry_follows_the_last BEFORE INSERT ON entry
    FOR EACH ROW EXECUTE FUNCTION entry_follows_the_last()
    """,
)


class PostgresBackend:
    """One PostgreSQL database."""

    read_only = False

    def __init__(self, url: str, *, create: bool) -> None:
        """Know the database by its URL; nothing is opened yet.

        Raises:
            StoreError: the URL is no such URL, or the driver is not installed.
        """
        try:
            import psycopg
        except ImportError as error:
            raise StoreError(
                "The driver for PostgreSQL is not installed.",
                "Install it with: pip install 'commission[postgresql]'.",
            ) from error
        try:
            self._url = sa.make_url(url).set(drivername="postgresql+psycopg")
        except (sa.exc.ArgumentError, ValueError) as error:
            # Not `from error`'s text: it would repeat the URL with its password.
            raise StoreError(
                "That is not the URL of a PostgreSQL database.",
                "It looks like postgresql://user@host/database; $PGPASSWORD may hold the password.",
            ) from error
        if not self._url.database:
            raise StoreError(f"{self.place} names no database.", "Add /database at its end.")
        self._create = create
        self._errors = psycopg.errors

    @property
    def place(self) -> str:
        """The URL with its password hidden."""
        return self._url.set(drivername="postgresql").render_as_string(hide_password=True)

    @property
    def driver_error(self) -> type[Exception]:
        """Psycopg's."""
        return self._errors.Error

    def engine(self) -> sa.Engine:
        """Return an engine that waits for each commit to be on the server's disk."""
        engine = sa.create_engine(
            self._url,
            isolation_level="READ COMMITTED",
            pool_pre_ping=True,
            connect_args={"connect_timeout": _WAIT_S, "application_name": MARK},
        )
        sa.event.listen(engine, "connect", _set_session)
        return engine

    def begin(self, connection: sa.Connection, *, write: bool) -> None:
        """Do nothing: the driver begins transactions itself."""

    def is_new(self, connection: sa.Connection) -> bool:
        """Return whether the database has no schema yet; the lock makes two makers take turns."""
        connection.exec_driver_sql("SELECT pg_advisory_xact_lock(hashtext('commission schema'))")
        tables = frozenset(sa.inspect(connection).get_table_names())
        if "about" not in tables:
            if tables:
                raise StoreError(
                    f"{self.place} holds tables, but not a store of this program.",
                    "Give it a database (or a schema, by search_path) of its own.",
                )
            if not self._create:
                raise StoreError(f"There is no store at {self.place}.", "Name it with --store.")
            return True
        rows = connection.exec_driver_sql("SELECT what, value FROM about")
        about = {str(row.what): str(row.value) for row in rows}
        if about.get("store") != MARK:
            raise StoreError(f"{self.place} is not a store of this program.", "Name another.")
        if int(about.get("schema", "0")) > SCHEMA_VERSION:
            raise SchemaError(
                f"{self.place} was made by a newer version. Nothing was changed.",
                "Update this program.",
            )
        return False

    def before_making(self) -> None:
        """Do nothing."""

    def finish_schema(self, connection: sa.Connection) -> None:
        """Add triggers and marks."""
        for statement in _SCHEMA:
            connection.exec_driver_sql(statement)
        about = {"store": MARK, "schema": str(SCHEMA_VERSION)}
        for row in about.items():
            connection.exec_driver_sql("INSERT INTO about VALUES (%s, %s)", row)

    def refusal_of(self, error: Exception) -> RecordError:
        """Return what PostgreSQL's error means."""
        errors = self._errors
        if isinstance(error, errors.IntegrityError):
            return BusyError(
                f"Another bench has written to this record first; {_NOTHING}.",
                "Open the job again to see what it says now.",
            )
        if isinstance(error, errors.DiskFull):
            return StoreError(f"The disk of {self.place} is full: {_NOTHING}.", "Free some space.")
        if isinstance(error, errors.ReadOnlySqlTransaction | errors.InsufficientPrivilege):
            return StoreError(f"{self.place} does not let this bench write: {_NOTHING}.", _MEND)
        if isinstance(error, errors.LockNotAvailable | errors.DeadlockDetected):
            return BusyError(f"Another bench is using {self.place}: {_NOTHING}.", "Try again.")
        if isinstance(error, errors.OperationalError):
            return StoreError(f"{self.place} cannot be reached: {_NOTHING}. {_first(error)}", _MEND)
        return StoreError(f"{self.place} refused: {_first(error)}")

    def hold(self, engine: sa.Engine, stream: str) -> Callable[[], None]:
        """Take an advisory lock, which ends with the connection; return what gives it back."""
        connection = engine.connect().execution_options(isolation_level="AUTOCOMMIT")
        taken = connection.exec_driver_sql(
            "SELECT pg_try_advisory_lock(hashtextextended(%s, 0))", (stream,)
        ).scalar_one()
        if not taken:
            connection.close()
            raise BusyError(
                f"{stream} is being worked on at another bench.",
                "Leave it there first. Until then it can be read: export, verify, the list.",
            )

        def let_go() -> None:
            connection.invalidate()  # closed for good: a pooled connection would keep the lock
            connection.close()

        return let_go

    def stored(self, text: str) -> str:
        """Return the text without NUL, which a text column cannot hold."""
        return text.replace("\0", "�")

    def release(self) -> None:
        """Do nothing: the server lets go by itself."""


def _set_session(connection: Connection, _record: object) -> None:
    # A session's own settings win over a server that was tuned to lose the last commits.
    with connection.cursor() as cursor:
        cursor.execute("SET synchronous_commit = on")
        cursor.execute("SET timezone = 'UTC'")
        cursor.execute(f"SET lock_timeout = '{_WAIT_S}s'")
    connection.commit()


def _first(error: Exception) -> str:
    lines = str(error).strip().splitlines()
    return f"{lines[0].strip()}." if lines else f"{type(error).__name__}."
