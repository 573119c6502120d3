"""What repeated readings say: mean, spread and range, around the circle too, and a straight line.

Plain floats in and out; angles are radians. Sums are exact where cancellation could eat digits:
the linear statistics are the standard library's, which work in rational arithmetic.
"""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Final

from commission.calculators.circular import bessel, directions

if TYPE_CHECKING:
    from collections.abc import Sequence

_FEWEST: Final = 2
"""Points of a line."""


@dataclass(frozen=True, slots=True)
class Summary:
    """Statistics of one reading over all runs; `count` is at least 1."""

    count: int
    mean: float
    """Not a number where angles cancel out and have no mean direction."""
    spread: float
    """Sample standard deviation (n-1); 0 for one run, infinite without a mean direction."""
    range: float
    """Largest distance between two runs; of angles, the smallest arc that holds all."""


@dataclass(frozen=True, slots=True)
class Line:
    """The least-squares straight line y = intercept + slope * x."""

    slope: float
    intercept: float
    deviation: float
    """Largest distance of a point from the line, in y."""
    correlation: float
    """Pearson's r; 0 where y never changes."""


def summary(values: Sequence[float]) -> Summary:
    """Return mean, sample standard deviation and range of `values` (at least one)."""
    spread = statistics.stdev(values) if len(values) > 1 else 0.0
    return Summary(len(values), statistics.fmean(values), spread, max(values) - min(values))


def circular_summary(angles: Sequence[float]) -> Summary:
    """Return circular mean in [0, 2π), standard deviation and range of `angles` (at least one).

    The deviation is that of `directions` times √(n/(n-1)), so that for little scatter it equals the
    sample standard deviation of plain numbers.
    """
    found, count = directions(angles), len(angles)
    return Summary(count, found.mean, found.deviation * bessel(count), found.arc)


def line(xs: Sequence[float], ys: Sequence[float]) -> Line:
    """Return the least-squares line through the points.

    Raises:
        ValueError: fewer than two points, or all at the same x.
    """
    if len(xs) < _FEWEST or max(xs) == min(xs):  # rounding of the mean would hide it
        raise ValueError("A line needs points at two different x values.")
    slope, intercept = statistics.linear_regression(xs, ys)
    deviation = max(abs(y - (intercept + slope * x)) for x, y in zip(xs, ys, strict=True))
    correlation = statistics.correlation(xs, ys) if max(ys) > min(ys) else 0.0
    return Line(slope, intercept, deviation, correlation)


def is_monotonic(xs: Sequence[float], ys: Sequence[float]) -> bool:
    """Return whether y never turns back as x grows, and moves at all; equal x may differ in y."""
    points = list(zip(xs, ys, strict=True))
    ways = {
        math.copysign(1, (later[0] - earlier[0]) * (later[1] - earlier[1]))
        for earlier, later in combinations(points, 2)
        if later[0] != earlier[0] and later[1] != earlier[1]
    }
    return len(ways) == 1
