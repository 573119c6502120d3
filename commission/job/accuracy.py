"""What an instrument's maker states of its accuracy, range by range; as text and in the record.

A range is written `60 V: 0.5 % + 2 counts of 0.01`: up to 60 V either way, ±(0.5 % of the reading
+ 2 counts), one count being 0.01 V. `-20 to 150 degC: 1 % + 5 counts of 0.1` has two ends.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.errors import QuantityError, RefusedError
from commission.quantities import Reading, show_number, unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MOST_RANGES: Final = 24
EXAMPLE: Final = "60 V: 0.5 % + 2 counts of 0.01"
_ROUNDING: Final = 1e-9
_LARGEST: Final = 1e12
_LONGEST: Final = 120
_NUMBER: Final = r"\d{1,12}(?:\.\d{1,9})?(?:e[+-]?\d{1,2})?"
_WRITTEN: Final = re.compile(
    rf"""\s*(?:(?P<low>-?{_NUMBER})\s*to\s*)?(?P<high>-?{_NUMBER})\s*(?P<unit>[^:\d\s][^:]*?)\s*:
    \s*±?\s*\(?\s*
    (?:(?P<percent>{_NUMBER})\s*%)?
    (?:\s*(?(percent)\+)\s*(?P<counts>{_NUMBER})\s*(?:counts?|digits?))?
    \s*\)?
    (?:\s*of\s*(?P<resolution>{_NUMBER}))?\s*""",
    re.VERBOSE | re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Range:
    """One range of an instrument: ±(`percent` of the reading + `counts` of the last digit)."""

    unit: str
    low: float
    high: float
    """Ends, in `unit`."""
    percent: float = 0.0
    counts: float = 0.0
    resolution: float | None = None
    """Value of one count, in `unit`; None is that of the last digit typed."""

    def holds(self, reading: Reading) -> bool:
        """Return whether a reading lies in it: it measures the same, and is within the ends."""
        mine, typed = unit(self.unit), unit(reading.unit)
        if mine.dimension != typed.dimension:
            return False
        low, high, value = mine.to_si(self.low), mine.to_si(self.high), reading.si
        slack = _ROUNDING * max(abs(low), abs(high))
        return low - slack <= value <= high + slack

    def count(self, reading: Reading) -> float:
        """Return one count in SI."""
        if self.resolution is None:
            return reading.resolution * unit(reading.unit).factor
        return self.resolution * unit(self.unit).factor

    def shows_as_coarsely(self, reading: Reading) -> bool:
        """Return whether the last digit typed is not coarser than one count here."""
        typed = reading.resolution * unit(reading.unit).factor
        return self.count(reading) >= typed * (1 - _ROUNDING)

    @property
    def span(self) -> float:
        """How much it holds, in SI."""
        return (self.high - self.low) * unit(self.unit).factor

    @property
    def ends(self) -> str:
        """Its ends as written: `60 V`, `-20 to 150 degC`."""
        high = _plain(self.high)
        if self.low == -self.high:
            return f"{high} {self.unit}"
        return f"{_plain(self.low)} to {high} {self.unit}"

    @property
    def accuracy(self) -> str:
        """Its accuracy in words: `0.5 % + 2 counts of 0.01`."""
        percent = f"{_plain(self.percent)} %" if self.percent else ""
        counts = f"{_plain(self.counts)} counts" if self.counts else ""
        said = " + ".join(part for part in (percent, counts) if part) or "0 %"
        return said if self.resolution is None else f"{said} of {_plain(self.resolution)}"

    def __str__(self) -> str:
        return f"{self.ends}: {self.accuracy}"

    def as_record(self) -> dict[str, Any]:
        """Return it as entries write it."""
        return {
            "unit": self.unit, "low": self.low, "high": self.high, "percent": self.percent,
            "counts": self.counts, "resolution": self.resolution,
        }  # fmt: skip

    @staticmethod
    def from_record(body: Mapping[str, Any]) -> Range:
        """Return the range an entry writes.

        Raises:
            RefusedError: it is none.
        """
        numbers = [body[name] for name in ("low", "high", "percent", "counts")]
        resolution = body["resolution"]
        if any(type(one) not in {int, float} for one in numbers) or (
            resolution is not None and type(resolution) not in {int, float}
        ):
            raise RefusedError("A range's numbers are no numbers.")
        low, high, percent, counts = map(float, numbers)
        return _checked(Range(str(body["unit"]), low, high, percent, counts, resolution))


def parse_range(text: str) -> Range:
    """Return a range as written, or refuse it.

    Raises:
        RefusedError: says what was got and how a range is written.
    """
    found = _WRITTEN.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None or (found["percent"] is None and found["counts"] is None):
        raise RefusedError(f"Range: {text[:60]!r} is none.", f"Write it as: {EXAMPLE}.", "ranges")
    high = float(found["high"])
    low = -high if found["low"] is None else float(found["low"])
    resolution = None if found["resolution"] is None else float(found["resolution"])
    return _checked(
        Range(
            found["unit"].strip(), low, high, float(found["percent"] or 0),
            float(found["counts"] or 0), resolution,
        )
    )  # fmt: skip


def parse_ranges(text: str) -> tuple[Range, ...]:
    """Return ranges separated by semicolons; none for an empty text.

    Raises:
        RefusedError: one of them is none, or there are too many.
    """
    return check_ranges([parse_range(one) for one in text.split(";") if one.strip()])


def check_ranges(ranges: Sequence[Range]) -> tuple[Range, ...]:
    """Return ranges as a tuple, or refuse what no instrument has.

    Raises:
        RefusedError: there are too many, or two are alike.
    """
    if len(ranges) > MOST_RANGES:
        raise RefusedError(
            f"Ranges: {len(ranges)} are too many.", f"Give at most {MOST_RANGES}.", "ranges"
        )
    known: set[tuple[str, float, float]] = set()
    for one in ranges:
        if (one.unit, one.low, one.high) in known:
            raise RefusedError(f"Range: {one.ends} is given twice.", "Leave one out.", "ranges")
        known.add((one.unit, one.low, one.high))
    return tuple(ranges)


def range_of(ranges: Sequence[Range], reading: Reading) -> Range | None:
    """Return the range a reading was taken on, or None where no range holds it.

    It is the narrowest one that holds the value and shows no more digits than were typed: 48.1 V
    was not read on the range that shows 48.10 V. Where each shows more, digits were left out, and
    it is the narrowest.
    """
    able = sorted((one for one in ranges if one.holds(reading)), key=lambda one: one.span)
    return next((one for one in able if one.shows_as_coarsely(reading)), able[0] if able else None)


def _checked(one: Range) -> Range:
    try:
        known = unit(one.unit)
    except QuantityError as error:
        raise RefusedError(f"Range: {error.message}", error.hint, "ranges") from error
    if not one.low < one.high or max(abs(one.low), abs(one.high)) > _LARGEST:
        raise RefusedError(
            f"Range: {one.ends} holds nothing.", "The lower end comes first.", "ranges"
        )
    if known.is_point and one.low == -one.high:
        raise RefusedError(
            f"Range: {one.ends} has one end only.", f"Write both: -20 to 150 {one.unit}.", "ranges"
        )
    if not 0 <= one.percent <= 100 or not 0 <= one.counts <= 1e6:  # noqa: PLR2004  per cent
        raise RefusedError(
            f"Range: {one.accuracy} is no accuracy.", f"Write it as: {EXAMPLE}.", "ranges"
        )
    if one.resolution is not None and not 0 < one.resolution < one.high - one.low:
        raise RefusedError(
            f"Range: one count of {show_number(one.resolution)} {one.unit} does not fit it.",
            "A count is the value of the last digit shown.",
            "ranges",
        )
    return one


def _plain(number: float) -> str:
    return f"{number:.12g}"
