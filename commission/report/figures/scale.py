"""Ticks at round numbers, and where a number lies on an axis."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

_STEPS: Final = (1.0, 2.0, 5.0, 10.0)
_ROOM: Final = 0.06


@dataclass(frozen=True, slots=True)
class Scale:
    """A stretch of numbers laid on a stretch of paper."""

    low: float
    high: float
    start: float
    """The coordinate of `low`."""
    end: float

    def at(self, number: float) -> float:
        """Return the coordinate of a number."""
        return self.start + (number - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self, most: int = 6) -> list[float]:
        """Return round numbers inside, at most about `most` of them."""
        rough = (self.high - self.low) / most
        power = 10.0 ** math.floor(math.log10(rough))
        step = next(power * one for one in _STEPS if power * one >= rough * (1 - 1e-9))
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return [number * step for number in range(first, last + 1)]


def scale_of(numbers: Sequence[float], start: float, end: float) -> Scale:
    """Return a scale on which all numbers lie, with some room at both ends."""
    low, high = min(numbers), max(numbers)
    room = (high - low) * _ROOM or abs(high) * _ROOM or 1.0
    return Scale(low - room, high + room, start, end)


def tick_text(number: float) -> str:
    """Return a tick's number without needless digits."""
    return f"{number:.6g}".replace("-0", "0") if number == 0 else f"{number:.6g}"
