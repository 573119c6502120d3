"""One job, one writer: a lock that ends with the process that holds it.

The lock is `flock` on a file of the job's own, so one that was left by a crash never blocks. Who
holds it stands in the file, for the message only. Were the lock to fail (some network drives
ignore it), the store's own compare-and-swap still refuses the second writer.
"""

from __future__ import annotations

import fcntl
import json
import os
import platform
from typing import TYPE_CHECKING, Self

from commission.errors import BusyError, StoreError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


class JobLock:
    """The exclusive right to write to one job, from `take` until `release`."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor: int | None = descriptor
        self._also: list[Callable[[], None]] = []

    @classmethod
    def take(cls, folder: Path, job: str, since: str) -> Self:
        """Take the lock of `job`, or refuse at once; `since` is the present moment, for others.

        Raises:
            BusyError: another process (or this one) holds it; says who and since when.
            StoreError: the lock file cannot be made.
        """
        path = folder / f"{job}.lock"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as error:
            raise StoreError(
                f"{job} cannot be locked: {path}: {error.strerror}.",
                "The folder of the store must be writable to work on a job.",
            ) from error
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            holder = _holder(descriptor)
            os.close(descriptor)
            raise BusyError(
                f"{job} is being worked on {holder}.",
                "Leave it there first. Until then it can be read: export, verify, the list.",
            ) from error
        _write_holder(descriptor, since)
        return cls(descriptor)

    @property
    def is_held(self) -> bool:
        """Whether it was not given back yet."""
        return self._descriptor is not None

    def holds_also(self, release: Callable[[], None]) -> None:
        """Call `release` when this lock is given back."""
        self._also.append(release)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.release()

    def release(self) -> None:
        """Give the lock back; a second call does nothing."""
        while self._also:
            self._also.pop()()
        if self._descriptor is not None:
            # The file stays: removing it would let two processes lock two files of one name.
            os.close(self._descriptor)
            self._descriptor = None


def _write_holder(descriptor: int, since: str) -> None:
    note = {"pid": os.getpid(), "host": platform.node(), "since": since}
    try:
        os.ftruncate(descriptor, 0)
        os.pwrite(descriptor, json.dumps(note).encode(), 0)
    except OSError:
        return  # a full disk: the lock holds all the same, only its note is missing


def _holder(descriptor: int) -> str:
    try:
        note = json.loads(os.pread(descriptor, 1000, 0))
        return f"by process {note['pid']} on {note['host']} since {note['since']}"
    except (OSError, ValueError, KeyError, TypeError):
        return "by another process"
