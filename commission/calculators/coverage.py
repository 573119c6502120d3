"""Coverage factors: Student's t and the normal distribution, without a statistics library."""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

NORMAL_ABOVE = 400
"""Degrees of freedom above which t is expanded about the normal quantile."""


@functools.lru_cache(maxsize=512)
def t_factor(probability: float, freedom: int) -> float:
    """Return the two-sided coverage factor of Student's t for whole degrees of freedom.

    `probability` lies between 0 and 1, both excluded; `freedom` is at least 1.
    """
    if freedom > NORMAL_ABOVE:
        return _expanded(normal_factor(probability), freedom)
    return _root(lambda factor: t_coverage(factor, freedom), probability)


@functools.lru_cache(maxsize=512)
def normal_factor(probability: float) -> float:
    """Return the two-sided coverage factor of the normal distribution."""
    return _root(lambda factor: math.erf(factor / math.sqrt(2.0)), probability)


def t_coverage(factor: float, freedom: int) -> float:
    """Return the probability within ±`factor`: Abramowitz and Stegun 26.7.3 and 26.7.4."""
    angle = math.atan(factor / math.sqrt(freedom))
    cosine = math.cos(angle)
    odd = freedom % 2 == 1
    term = total = cosine if odd else 1.0
    for order in range(2 if odd else 1, freedom - 2, 2):
        term *= order / (order + 1) * cosine * cosine
        total += term
    if odd:
        total = total if freedom > 1 else 0.0
        return 2.0 / math.pi * (angle + math.sin(angle) * total)
    return math.sin(angle) * total


def _root(coverage: Callable[[float], float], probability: float) -> float:
    """Return where a rising function reaches `probability`, by halving."""
    low, high = 0.0, 1.0
    while coverage(high) < probability and high < 1e12:  # noqa: PLR2004  far beyond any table
        low, high = high, 2.0 * high
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle in {low, high}:
            break
        low, high = (middle, high) if coverage(middle) < probability else (low, middle)
    return high


def _expanded(z: float, freedom: int) -> float:
    """Return t by its expansion about the normal quantile (Abramowitz and Stegun 26.7.5)."""
    first = (z**3 + z) / 4.0
    second = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    return z + first / freedom + second / freedom**2
