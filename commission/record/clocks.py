"""The clocks: the only place that reads them.

Each entry carries two: the wall clock, which people read and anyone may set, and the time since
the machine was started, which nobody can set back. Where they disagree the record says so.
"""

from __future__ import annotations

import functools
import re
import time
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

from commission.job.entry import Clock, Instant

if TYPE_CHECKING:
    from collections.abc import Callable

JUMP_S: Final = 2.0
"""More than this between the two clocks' accounts of the same time is a jump. Our own figure:
above what network time slews, far below a waiting time that matters."""
_BOOT_ID: Final = Path("/proc/sys/kernel/random/boot_id")
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND: Final = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Clocks:
    """A wall clock and a monotonic clock; tests give their own."""

    wall_us: Callable[[], int]
    """Microseconds since 1970-01-01 UTC."""
    monotonic_ns: Callable[[], int]
    """Nanoseconds since the start named by `boot`, time asleep included where the system can."""
    boot: str
    """Which start of the machine `monotonic_ns` counts from."""

    def now(self) -> Instant:
        """Return this moment by both clocks."""
        return Instant(to_text(self.wall_us()), Clock(self.boot, self.monotonic_ns()))


@functools.cache
def machine() -> Clocks:
    """Return this machine's clocks."""
    return Clocks(lambda: time.time_ns() // 1000, _since_boot(), _boot_id())


def _since_boot() -> Callable[[], int]:
    which = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))
    if which is None:
        return time.monotonic_ns
    return functools.partial(time.clock_gettime_ns, which)


def _boot_id() -> str:
    try:
        return _BOOT_ID.read_text("ascii").strip()
    except (OSError, ValueError):
        # Moments of two processes are then never compared: less is known, nothing is wrong.
        return str(uuid.uuid4())


def to_text(wall_us: int) -> str:
    """Return microseconds since 1970 as RFC 3339 in UTC: `2026-03-01T09:30:00.000000Z`."""
    moment = _EPOCH + timedelta(microseconds=wall_us)
    return f"{moment.isoformat(timespec='microseconds')[:26]}Z"


def to_us(at: str) -> int:
    """Return the microseconds since 1970 that `to_text` wrote as `at`.

    Raises:
        ValueError: not of that form.
    """
    # The form by a pattern, the figures by the parser: it alone would take other forms as well.
    if _FORM(at) is None:
        raise ValueError(f"{at!r} is not a moment as entries write it")
    return (datetime.fromisoformat(at) - _EPOCH) // _MICROSECOND


_FORM: Final = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{6}Z"
).fullmatch


@dataclass(frozen=True, slots=True)
class Jump:
    """Two accounts of the time between two moments that do not agree."""

    wall_s: float
    monotonic_s: float | None
    """None where the machine was started in between: only the wall clock can tell."""


def jump_between(earlier: Instant, later: Instant) -> Jump | None:
    """Return how the clocks disagree about the time between two moments, or None if they agree.

    Over a restart of the machine only a wall clock that went back can be told.
    """
    wall_s = (to_us(later.at) - to_us(earlier.at)) / 1e6
    if earlier.clock.boot != later.clock.boot:
        return Jump(wall_s, None) if wall_s < 0 else None
    monotonic_s = (later.clock.ns - earlier.clock.ns) / 1e9
    if wall_s < 0 or abs(wall_s - monotonic_s) > JUMP_S:
        return Jump(wall_s, monotonic_s)
    return None
