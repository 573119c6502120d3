"""Moments, spans and counts of a record in words: UTC, as recorded, whatever this machine's."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

ZONE: Final = "All times are UTC, as recorded; the record keeps no local offset."
_MINUTE, _HOUR = 60, 3600


def moment(at: str) -> str:
    """Return `2031-05-06 08:07:41 UTC`; `-` for no moment."""
    return f"{at[:10]} {at[11:19]} UTC" if at else "-"


def in_table(at: str) -> str:
    """Return `2031-05-06 08:07:41`, for columns whose title says UTC; `-` for no moment."""
    return f"{at[:10]} {at[11:19]}" if at else "-"


def clock(at: str) -> str:
    """Return `08:07:41`, where all that is told is of one day, named elsewhere."""
    return at[11:19]


def seconds_of(at: str) -> float:
    """Return a moment as seconds since 1970, for distances in drawings."""
    return datetime.fromisoformat(at).astimezone(UTC).timestamp()


def span(seconds: float) -> str:
    """Return a length of time: `8 s`, `12 min`, `2 h 05 min`."""
    whole = round(seconds)
    if whole < _MINUTE:
        return f"{whole} s"
    if whole < _HOUR:
        return f"{whole // _MINUTE} min"
    return f"{whole // _HOUR} h {whole % _HOUR // _MINUTE:02d} min"


def counted(number: int, one: str, many: str = "") -> str:
    """Return `1 entry`, `2 entries`; `many` is `one` with an s where it is left out."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"
