"""A reading beside the same reading on like bikes: median, spread, and where this one lies. Pure.

The spread is 1.4826 times the median absolute deviation (MAD), which for normally distributed
readings is their standard deviation and which up to half of them can be wild without moving much.
A reading is flagged where its modified z-score 0.6745 (x - median)/MAD exceeds 3.5 in size:
B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers, ASQC 1993; NIST/SEMATECH
e-Handbook of Statistical Methods, 1.3.5.17. Where more than half of the readings are equal the MAD
is 0, and 1.2533 times the mean absolute deviation about the median stands in for it (common
practice, no source). A flag asks for a second look; it is no verdict and holds nothing up.
"""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from commission.calculators.circular import TURN, directions, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.job.judge_limits import Shown

NORMAL: Final = 1.482602218505602
"""1/Φ⁻¹(3/4): from MAD to the standard deviation of a normal distribution."""
_MEAN_TO_NORMAL: Final = math.sqrt(math.pi / 2)
"""From the mean absolute deviation to the standard deviation of a normal distribution."""
FAR: Final = 3.5
"""Modified z-score from which a second look is asked."""
FEWEST: Final = 5
"""Readings below which nothing is flagged: a median of four moves with each of them."""
_LAST: Final = 3
_SPREAD_DIGITS: Final = 2


@dataclass(frozen=True, slots=True)
class Earlier:
    """The same reading on this very bike, the last time."""

    value: float
    """SI."""
    at: str
    job: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where a reading lies among those of like bikes."""

    score: float
    """Distance from the median in spreads, signed; infinite where all others are equal."""
    is_far: bool
    """Whether a second look is asked."""


@dataclass(frozen=True, slots=True)
class LikeBikes:
    """The same reading on like bikes, one of each bike; SI."""

    values: tuple[float, ...] = ()
    """Newest first, without this bike's."""
    circular: bool = False
    earlier: Earlier | None = None

    @property
    def count(self) -> int:
        """How many bikes."""
        return len(self.values)

    @property
    def median(self) -> float:
        """The median; of angles, about their mean direction, in [0, 2π). Needs at least one."""
        centre = self._centre
        return self._whole(centre + statistics.median(self._from(centre)))

    @property
    def spread(self) -> float:
        """MAD times 1.4826, or its stand-in; 0 where all are equal. Needs at least one."""
        centre = self._centre
        return spread(self._from(centre))

    def place(self, value: float) -> Place:
        """Return where `value` lies; never far among fewer than five."""
        off = self._apart(value, self.median)
        scale = self.spread
        slack = 1e-9 * max(abs(value), abs(self.median))
        if scale > slack:
            score = off / scale
        else:
            score = 0.0 if abs(off) <= slack else math.copysign(math.inf, off)
        return Place(score, self.count >= FEWEST and abs(score) > FAR)

    def _apart(self, value: float, other: float) -> float:
        return wrapped(value - other) if self.circular else value - other

    @property
    def _centre(self) -> float:
        if not self.circular:
            return 0.0
        mean = directions(self.values).mean
        return mean if math.isfinite(mean) else self.values[0]

    def _from(self, centre: float) -> list[float]:
        return [self._apart(value, centre) for value in self.values]

    def _whole(self, value: float) -> float:
        return value % TURN if self.circular else value


def spread(values: Sequence[float]) -> float:
    """Return MAD times 1.4826; where that is 0, 1.2533 times the mean absolute deviation."""
    middle = statistics.median(values)
    off = [abs(value - middle) for value in values]
    return NORMAL * statistics.median(off) or _MEAN_TO_NORMAL * statistics.fmean(off)


def words(found: LikeBikes, shown: Shown) -> str:
    """Return what like bikes read, in a line; empty where nothing is known of them."""
    parts = []
    if found.count:
        bikes = "1 like bike" if found.count == 1 else f"{found.count} like bikes"
        if found.count == 1:
            parts.append(f"{bikes}: {shown.text(found.values[0])}")
        else:
            apart = replace(shown.difference(), digits=_SPREAD_DIGITS)
            last = ", ".join(_bare(value, shown) for value in found.values[:_LAST])
            parts.append(
                f"{bikes}: median {shown.text(found.median)}, spread {apart.text(found.spread)}; "
                f"last {last}"
            )
    if found.earlier is not None:
        day = found.earlier.at[:10]
        parts.append(f"this bike on {day}: {shown.text(found.earlier.value)}")
    said = "; ".join(parts)
    return said[:1].upper() + said[1:]


def place_words(found: LikeBikes, value: float, shown: Shown) -> tuple[str, bool]:
    """Return where a reading lies, in words, and whether it asks for a second look."""
    if not found.count:
        return "", False
    place = found.place(value)
    ranked = sum(1 for one in found.values if one < value)
    side = "above" if place.score > 0 else "below"
    if place.is_far and math.isinf(place.score):
        return f"LOOK AGAIN: all {found.count} others read {shown.text(found.median)}.", True
    if place.is_far:
        far = f"{abs(place.score):.1f} spreads {side}"
        return f"LOOK AGAIN: {far} the median of like bikes, {shown.text(found.median)}.", True
    if found.count < FEWEST:
        return "", False
    if math.isinf(place.score) or abs(place.score) < 0.05:  # noqa: PLR2004  shown as 0.0
        return f"At the median of {found.count}.", False
    rank = "" if found.circular else f"; above {ranked} of {found.count}"
    return f"{abs(place.score):.1f} spreads {side} the median{rank}.", False


def _bare(value: float, shown: Shown) -> str:
    text = shown.text(value)
    return text.removesuffix(shown.unit).strip() if shown.unit else text
