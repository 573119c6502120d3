"""Angles on the circle: mean direction, spread, the arc that holds them, how far two lie apart.

Radians throughout. The one place of circular statistics: calculators and jobs both use it.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

TURN: Final = math.tau
NO_DIRECTION: Final = 1e-9
"""Shorter mean vectors than this are rounding: the angles point nowhere together."""


class Directions(NamedTuple):
    """Statistics of one angle or more."""

    mean: float
    """From 0 to 2π, the end excluded; not a number where the directions cancel."""
    resultant: float
    """Mean resultant length: 1 where all agree, 0 where they cancel."""
    deviation: float
    """Circular standard deviation √(-2 ln R) of a population; infinite where they cancel."""
    arc: float
    """The smallest arc that holds all."""


def directions(angles: Sequence[float]) -> Directions:
    """Return mean direction, resultant length, deviation and arc of `angles` (at least one).

    Source: Mardia and Jupp, Directional Statistics (2000), 2.2-2.3 (cited from memory).
    """
    count = len(angles)
    sine = math.fsum(map(math.sin, angles)) / count
    cosine = math.fsum(map(math.cos, angles)) / count
    if math.hypot(sine, cosine) < NO_DIRECTION:
        return Directions(math.nan, 0.0, math.inf, arc(angles))
    mean = math.atan2(sine, cosine) % TURN % TURN  # twice: -1e-17 % TURN is TURN itself
    # 1 - R as a sum of squares keeps its digits where all angles are nearly equal.
    variance = math.fsum(2.0 * math.sin((angle - mean) / 2.0) ** 2 for angle in angles) / count
    variance = min(variance, 1.0 - NO_DIRECTION)
    deviation = math.sqrt(max(0.0, -2.0 * math.log1p(-variance)))
    return Directions(mean, 1.0 - variance, deviation, arc(angles))


def bessel(count: int) -> float:
    """Return √(n/(n-1)), what turns a population deviation into a sample's; 0 for one value."""
    return math.sqrt(count / (count - 1)) if count > 1 else 0.0


def arc(angles: Sequence[float]) -> float:
    """Return the length of the smallest arc that holds all `angles`: a turn less the widest gap."""
    around = sorted(angle % TURN for angle in angles)
    gaps = [later - earlier for earlier, later in pairwise(around)]
    return max(0.0, TURN - max([*gaps, around[0] + TURN - around[-1]]))


def wrapped(angle: float) -> float:
    """Return the same direction from -π to π."""
    return math.remainder(angle, TURN)


def distance(one: float, other: float) -> float:
    """Return how far two angles lie apart, the shorter way round: 0 to π."""
    return abs(math.remainder(one - other, TURN))
