"""Where a function of one number takes a wanted value: by samples, halving and the golden section.

Plain bracketing on floats; the function may have no value in places. It knows nothing of units.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Final, NamedTuple

_HALVINGS: Final = 200
_BEND_ROUNDS: Final = 60
_GOLDEN: Final = (math.sqrt(5.0) - 1.0) / 2.0
CLOSE: Final = 1e-9
"""How near, as a share of the values' size, counts as reached."""
Way = Callable[[float], float | None]


class Sample(NamedTuple):
    """The function at one place."""

    x: float
    y: float


class Stretch(NamedTuple):
    """A place, or two different ends of a stretch, where the wanted value is taken."""

    start: float
    end: float


def sampled(way: Way, places: Iterable[float]) -> list[Sample]:
    """Return the function where it has a value, ascending, ends of gaps and bends added."""
    ascending = sorted(set(places))
    tried = [(x, way(x)) for x in ascending]
    found = [Sample(x, y) for x, y in tried if y is not None]
    for (x0, y0), (x1, y1) in pairwise(tried):
        if (y0 is None) != (y1 is None):
            found.append(_edge(way, *((x0, x1) if y1 is None else (x1, x0))))
    found = sorted(set(found))
    triples = zip(found, found[1:], found[2:], strict=False)
    bends = [
        _bend(way, before.x, after.x, up=middle.y > before.y)
        for before, middle, after in triples
        if (middle.y - before.y) * (after.y - middle.y) < 0.0
    ]
    return sorted({*found, *(bend for bend in bends if bend is not None)})


def taken_at(way: Way, samples: list[Sample], wanted: float) -> list[Stretch]:
    """Return where the wanted value is taken, ascending; neighbours that take it are one stretch.

    A value that the function jumps over is not taken.
    """
    near = CLOSE * (abs(wanted) or _usual(samples))
    found: list[Stretch] = []
    before: Sample | None = None
    was_hit = False
    for sample in samples:
        is_hit = abs(sample.y - wanted) <= near
        if is_hit and was_hit:
            found[-1] = Stretch(found[-1].start, sample.x)
        elif is_hit:
            found.append(Stretch(sample.x, sample.x))
        elif before is not None and not was_hit:
            root = _closed_in(way, before, sample, wanted)
            found += [] if root is None else [Stretch(root, root)]
        before, was_hit = sample, is_hit
    return [_sharpened(way, stretch, wanted) for stretch in found]


def is_same(one: float, other: float) -> bool:
    """Whether two places are one but for rounding."""
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-12)


def _usual(samples: list[Sample]) -> float:
    """Return a usual size of the values: what near zero is measured against."""
    sizes = sorted(abs(each.y) for each in samples)
    return sizes[len(sizes) // 2] if sizes else 0.0


def _sharpened(way: Way, stretch: Stretch, wanted: float) -> Stretch:
    """Return a stretch that is no wider than rounding as the one place where the value is best."""
    if stretch.start == stretch.end or not is_same(stretch.start, stretch.end):
        return stretch
    ends = [(abs(y - wanted), x) for x in stretch if (y := way(x)) is not None]
    best = min(ends, default=(0.0, stretch.start))[1]
    return Stretch(best, best)


def _closed_in(way: Way, before: Sample, after: Sample, wanted: float) -> float | None:
    """Return the place between two samples on either side; None where there is none."""
    if (before.y - wanted) * (after.y - wanted) > 0.0:
        return None
    low, high, rising = before.x, after.x, before.y < after.y
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        value = way(middle)
        if value is None or middle in {low, high}:
            break
        if (value < wanted) == rising:
            low = middle
        else:
            high = middle
    ends = [(abs(y - wanted), x) for x in (low, high) if (y := way(x)) is not None]
    miss, root = min(ends, default=(math.inf, 0.0))
    return root if miss <= CLOSE * max(abs(wanted), abs(after.y - before.y)) else None


def _edge(way: Way, inside: float, outside: float) -> Sample:
    """Return the last place with a value between one that has it and one that has none."""
    for _ in range(_BEND_ROUNDS):
        middle = (inside + outside) / 2.0
        if middle in {inside, outside}:
            break
        if way(middle) is None:
            outside = middle
        else:
            inside = middle
    value = way(inside)
    return Sample(inside, math.nan if value is None else value)


def _bend(way: Way, low: float, high: float, *, up: bool) -> Sample | None:
    """Return the turning point between two places, by the golden section."""
    for _ in range(_BEND_ROUNDS):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        at_left, at_right = way(left), way(right)
        if at_left is None or at_right is None:
            return None
        if (at_left > at_right) == up:
            high = right
        else:
            low = left
    middle = (low + high) / 2.0
    value = way(middle)
    return None if value is None else Sample(middle, value)
