"""A stream as a file of JSON Lines: the lines as stored, each with one newline."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from commission.errors import DamagedError, StoreError
from commission.job.entry import GENESIS, Digest
from commission.record.attachments import sync_folder
from commission.record.line import digest_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written."""

    entries: int
    head: Digest
    """Digest of the last line; `GENESIS` where there was none."""
    damage: str = ""
    """Why it ends early; empty where all was there."""


def export_to(lines: Iterable[bytes], path: Path, *, force: bool, partial: bool) -> Exported:
    """Write lines to a new file, whole or not at all.

    Args:
        lines: as the store gives them.
        path: of the file.
        force: whether a file that is there is replaced.
        partial: whether what can be read of a damaged store is written.

    Raises:
        StoreError: the file is there already or cannot be written.
        DamagedError: not all could be read, and `partial` is false.
    """
    done: list[Exported] = []
    _write(path, lambda file: done.append(write_lines(lines, file, partial=partial)), force=force)
    return done[0]


def put(data: bytes, path: Path, *, force: bool) -> None:
    """Write bytes to a new file, whole or not at all.

    Raises:
        StoreError: the file is there already and `force` is false, or it cannot be written.
    """
    _write(path, lambda file: file.write(data), force=force)


def _write(path: Path, fill: Callable[[BinaryIO], object], *, force: bool) -> None:
    if path.exists() and not force:
        raise StoreError(f"{path} is there already; nothing was written.", "Use --force, or -o.")
    try:
        descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(descriptor, "wb") as file:
                fill(file)
                file.flush()
                os.fsync(file.fileno())
            _put_in_place(Path(name), path, force=force)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise StoreError(
            f"{path} cannot be written: {error.strerror or error}.",
            "Name a file in a folder that is there and can be written to.",
        ) from error


def write_lines(lines: Iterable[bytes], file: BinaryIO, *, partial: bool) -> Exported:
    """Write lines to an open file; see `export_to`."""
    entries, last = 0, b""
    damage = ""
    try:
        for line in lines:
            file.write(line + b"\n")
            entries, last = entries + 1, line
    except DamagedError as error:
        if not partial:
            raise
        damage = error.message
    return Exported(entries, digest_of(last) if entries else GENESIS, damage)


def _put_in_place(written: Path, path: Path, *, force: bool) -> None:
    written.chmod(0o644)
    if force:
        written.replace(path)
    else:
        path.hardlink_to(written)  # unlike a rename, it refuses a file made in the meantime
        written.unlink()
    sync_folder(path.parent)
