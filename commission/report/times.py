"""Moments and spans of a record in words: UTC, as the record has them, whatever this machine's."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

ZONE: Final = "All times are UTC, as recorded; the record keeps no local offset."
_MINUTE, _HOUR = 60, 3600


def moment(at: str) -> str:
    """Return `2031-05-06 08:07:41 UTC`; `-` for no moment."""
    return f"{at[:10]} {at[11:19]} UTC" if at else "-"


def clock(at: str) -> str:
    """Return `08:07:41`, for tables that name the day elsewhere."""
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
