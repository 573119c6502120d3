"""How much time lies between two entries, by their own clocks."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError

if TYPE_CHECKING:
    from commission.job.entry import Instant


def seconds(earlier: Instant, later: Instant) -> float:
    """Return the seconds from one moment to another; negative where the clocks ran backwards.

    Within one boot the monotonic clock decides, which nobody can set; else the wall clock.

    Raises:
        IllegalEntryError: a moment that is no RFC 3339 time.
    """
    if earlier.clock.boot == later.clock.boot:
        return (later.clock.ns - earlier.clock.ns) / 1e9
    return (_wall(later) - _wall(earlier)).total_seconds()


def _wall(moment: Instant) -> datetime:
    try:
        return datetime.fromisoformat(moment.at)
    except ValueError as error:
        raise IllegalEntryError(f"{moment.at!r} is not a time in UTC.") from error
