"""Files kept with a job: photos, exports. Each is copied once, under the digest of its content."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path
from typing import BinaryIO, Final

from commission.errors import StoreError

LIMIT: Final = 50 * 1024 * 1024
"""Largest file taken, in bytes; a workshop photo has a tenth of it."""
_CHUNK: Final = 1 << 20


def keep(source: Path, folder: Path) -> dict[str, str | int]:
    """Copy a file into `folder`, durable before it returns; return its given for an entry.

    The same content is kept once. The given is `{"name", "sha256", "size"}`.

    Raises:
        StoreError: no regular file, too large, unreadable, or it cannot be kept; nothing is left.
    """
    try:
        if not source.is_file():
            what = "is a folder" if source.is_dir() else "does not exist"
            raise StoreError(f"{source} {what}.", "Give the path of one file.")
        folder.mkdir(parents=True, exist_ok=True)
        with source.open("rb") as original:
            return _copy(original, source.name, folder)
    except OSError as error:
        raise StoreError(
            f"{source} could not be kept: {error.strerror or error}.",
            "Check that the file can be read and that the disk has room.",
        ) from error


def _copy(original: BinaryIO, name: str, folder: Path) -> dict[str, str | int]:
    hasher, size = hashlib.sha256(), 0
    descriptor, partial = tempfile.mkstemp(dir=folder, prefix="partial-")
    try:
        with os.fdopen(descriptor, "wb") as copy:
            while chunk := original.read(_CHUNK):
                size += len(chunk)
                _refuse_too_large(name, size)
                hasher.update(chunk)
                copy.write(chunk)
            copy.flush()
            os.fsync(copy.fileno())
        sha256 = hasher.hexdigest()
        place = folder / sha256[:2] / sha256
        place.parent.mkdir(exist_ok=True)
        Path(partial).replace(place)
        sync_folder(place.parent)
        sync_folder(folder)
    except BaseException:
        Path(partial).unlink(missing_ok=True)
        raise
    return {"name": name, "sha256": sha256, "size": size}


def _refuse_too_large(name: str, size: int) -> None:
    if size > LIMIT:
        raise StoreError(
            f"{name} is larger than {LIMIT // 1024 // 1024} MB.", "Attach a smaller copy of it."
        )


def sync_folder(folder: Path) -> None:
    """Make the names in `folder` durable: a file's own fsync does not cover its name."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
