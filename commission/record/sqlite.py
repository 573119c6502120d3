"""The one place that knows SQLite: opening modes, pragmas, triggers, and what its errors mean."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from commission.errors import BusyError, DamagedError, RecordError, SchemaError, StoreError

DriverError: Final = sqlite3.Error
"""What the driver raises outside SQLAlchemy's care, as when a connection is made."""
APPLICATION_ID: Final = 0x436F6D31
"""What marks a SQLite file as a store of this program (`file` shows it)."""
SCHEMA_VERSION: Final = 1
BUSY_MS: Final = 5000
_HEADER: Final = b"SQLite format 3\0"

TRIGGERS: Final = (
    """
    CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
    BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END
    """,
    """
    CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END
    """,
    """
    CREATE TRIGGER entry_follows_the_last BEFORE INSERT ON entry
    WHEN NEW.seq <> 1 + (SELECT coalesce(max(seq), 0) FROM entry WHERE stream = NEW.stream)
    BEGIN SELECT RAISE(ABORT, 'the entry does not follow the last one'); END
    """,
)
"""The last one makes the insert a compare-and-swap: gaps are refused as duplicates are. It also
stops INSERT OR REPLACE, which would delete a row without waking the DELETE trigger."""


@dataclass(frozen=True, slots=True)
class Opening:
    """How a file is to be opened."""

    path: Path
    read_only: bool
    copy: tempfile.TemporaryDirectory[str] | None = None
    """A private copy that is read instead, where even reading would need to write beside it."""

    def connect(self) -> sqlite3.Connection:
        """Return a new connection with this program's pragmas set."""
        place = Path(self.copy.name) / self.path.name if self.copy else self.path
        mode = "rw" if self.copy else "ro" if self.read_only else "rwc"
        connection = sqlite3.connect(
            f"{place.as_uri()}?mode={mode}",
            uri=True,
            timeout=BUSY_MS / 1000,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            for pragma in _PRAGMAS:
                connection.execute(pragma)
        except BaseException:
            connection.close()
            raise
        return connection

    def keep_a_log(self) -> None:
        """Turn a new file to write-ahead logging, which it then keeps; not while in use."""
        connection = self.connect()
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        finally:
            connection.close()

    def release(self) -> None:
        """Remove the private copy, where there is one."""
        if self.copy:
            self.copy.cleanup()


_PRAGMAS: Final = ("PRAGMA synchronous=FULL", "PRAGMA foreign_keys=ON", "PRAGMA trusted_schema=OFF")


def opening_of(path: Path, *, create: bool) -> Opening:
    """Return how `path` can be opened: to write, or only to read where the system forbids more.

    Raises:
        StoreError: it is missing and not to be created, no file, or no SQLite file.
    """
    if not path.exists():
        if not create:
            raise StoreError(f"There is no store at {path}.", "Name it with --store.")
        _make_folder(path.parent)
        return Opening(path, read_only=False)
    _refuse_other_files(path)
    if _may_write(path) and _may_write(path.parent):
        return Opening(path, read_only=False)
    return Opening(path, read_only=True, copy=_copy_if_needed(path))


def _may_write(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"The folder {folder} cannot be made: {error.strerror}.", "Name another with --store."
        ) from error
    if not _may_write(folder):
        raise StoreError(
            f"Nothing can be written in the folder {folder}.", "Name another with --store."
        )


def _refuse_other_files(path: Path) -> None:
    try:
        with path.open("rb") as file:
            start = file.read(len(_HEADER))
    except OSError as error:
        raise StoreError(
            f"The store {path} cannot be read: {error.strerror}.", "Name another with --store."
        ) from error
    if start and start != _HEADER:
        raise StoreError(
            f"{path} is not a store: it does not start as one, or its start is damaged.",
            "Name the store with --store, or restore the file from a copy.",
        )


def _copy_if_needed(path: Path) -> tempfile.TemporaryDirectory[str] | None:
    # SQLite reads a write-ahead log only with an index beside it. Where the folder is read-only and
    # no process has left one, the entries still in the log are seen in a copy, and only there.
    log = path.with_name(path.name + "-wal")
    index = path.with_name(path.name + "-shm")
    if _may_write(path.parent) or index.exists():
        return None
    copy = tempfile.TemporaryDirectory(prefix="store-")
    try:
        shutil.copyfile(path, Path(copy.name) / path.name)
        if log.exists():
            shutil.copyfile(log, Path(copy.name) / log.name)
    except OSError as error:
        copy.cleanup()
        raise StoreError(
            f"The store {path} cannot be read: {error.strerror}.", "Free some disk space."
        ) from error
    return copy


def check_version(path: Path, application: int, version: int, tables: int) -> bool:
    """Return whether a schema has yet to be made in a file with these marks.

    Raises:
        StoreError: a database of something else.
        SchemaError: a store of a newer version.
    """
    if application == 0 and version == 0 and tables == 0:
        return True
    if application != APPLICATION_ID:
        raise StoreError(
            f"{path} is a database, but not a store of this program.",
            "Name the store with --store.",
        )
    if version > SCHEMA_VERSION:
        raise SchemaError(
            f"{path} was made by a newer version (its schema is {version}, "
            f"this program knows {SCHEMA_VERSION}). Nothing was changed.",
            "Update this program.",
        )
    return False


def refusal_of(error: Exception, path: Path) -> RecordError:
    """Return what a driver's error means to this program; give it on with `from`."""
    name = getattr(error, "sqlite_errorname", None) or ""
    text = str(error)
    if isinstance(error, sqlite3.IntegrityError):
        return BusyError(
            "Another process has written to this record first; nothing was recorded.",
            "Open the job again to see what it says now.",
        )
    for start, (kind, sentence, hint) in _MEANINGS.items():
        if name.startswith(start):
            return kind(sentence.format(path=path), hint)
    return StoreError(f"The store {path} refused: {text or type(error).__name__}.")


_MEANINGS: Final[dict[str, tuple[type[RecordError], str, str]]] = {
    "SQLITE_FULL": (
        StoreError,
        "The disk is full: nothing was recorded. Everything confirmed before is safe in {path}.",
        "Free some space, then confirm again.",
    ),
    "SQLITE_READONLY": (
        StoreError,
        "The store {path} can only be read: nothing was recorded.",
        "Make the file and its folder writable, or name another with --store.",
    ),
    "SQLITE_BUSY": (
        BusyError,
        "Another process is using the store {path}: nothing was recorded.",
        "Try again in a moment.",
    ),
    "SQLITE_LOCKED": (
        BusyError,
        "Another process is using the store {path}: nothing was recorded.",
        "Try again in a moment.",
    ),
    "SQLITE_CORRUPT": (
        DamagedError,
        "The store {path} is damaged: part of it cannot be read.",
        "Keep a copy of the file as it is, then `commission verify --all` says what is whole.",
    ),
    "SQLITE_NOTADB": (
        StoreError,
        "{path} is not a store.",
        "Name the store with --store, or restore the file from a copy.",
    ),
    "SQLITE_CANTOPEN": (
        StoreError,
        "The store {path} cannot be opened.",
        "Check that its folder exists and can be written, or name another with --store.",
    ),
    "SQLITE_IOERR": (
        StoreError,
        "The disk refused to read or write {path}: nothing was recorded.",
        "Check the disk. Everything confirmed before is kept.",
    ),
}
