"""A text scale: where a value lies between its limits. Signs and words only, no colour."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

_MARGIN: Final = 0.18
"""Room on either side of the limits, as a part of the bar."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits and the unit they are shown in; None where a side is open."""

    low: float | None
    high: float | None
    target: float | None = None
    labels: tuple[str, str] = ("", "")
    """How the low and the high limit are written."""

    @property
    def is_open(self) -> bool:
        """Whether there is nothing to lie between."""
        return self.low is None and self.high is None

    def holds(self, value: float) -> bool:
        """Whether the value lies within, both ends included."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def bar(value: float | None, bounds: Bounds, width: int = 48) -> tuple[str, str]:
    """Return the bar and the line of limit labels below it, each at most `width` wide.

    `├` and `┤` are the limits, `█` is the value, `◄` and `►` a value beyond the bar; without a
    value the bar shows the limits alone. Open bounds give two empty texts.
    """
    if bounds.is_open or width < len("◄├─┤►"):
        return "", ""
    start, end = _ends(bounds)
    cells = [" "] * width
    inside = range(
        _cell(bounds.low, start, end, width) if bounds.low is not None else 0,
        (_cell(bounds.high, start, end, width) if bounds.high is not None else width - 1) + 1,
    )
    for cell in range(width):
        cells[cell] = "═" if cell in inside else "·"
    if bounds.target is not None and start <= bounds.target <= end:
        cells[_cell(bounds.target, start, end, width)] = "┼"
    if bounds.low is not None:
        cells[inside.start] = "├"
    if bounds.high is not None:
        cells[inside.stop - 1] = "┤"
    if value is not None and math.isfinite(value):
        _mark(cells, value, start, end)
    return "".join(cells), _labels(bounds, inside, width)


def _ends(bounds: Bounds) -> tuple[float, float]:
    """The values at the two ends of the bar; a lone limit stands at three quarters from zero."""
    if bounds.low is None or bounds.high is None:
        lone = bounds.low if bounds.high is None else bounds.high
        size = abs(lone or 0.0) or 1.0
        away = 0.75 * size if bounds.low is None else 1.25 * size
        return (lone or 0.0) - 2.0 * size + away, (lone or 0.0) + away
    room = (bounds.high - bounds.low) * _MARGIN / (1 - 2 * _MARGIN)
    room = room or abs(bounds.high) * _MARGIN or 1.0
    return bounds.low - room, bounds.high + room


def _cell(value: float, start: float, end: float, width: int) -> int:
    return min(width - 1, max(0, round((value - start) / (end - start) * (width - 1))))


def _mark(cells: list[str], value: float, start: float, end: float) -> None:
    if value < start:
        cells[0] = "◄"
    elif value > end:
        cells[-1] = "►"
    else:
        cells[_cell(value, start, end, len(cells))] = "█"


def _labels(bounds: Bounds, inside: range, width: int) -> str:
    low, high = bounds.labels
    if bounds.low is None:
        low = ""
    if bounds.high is None:
        high = ""
    line = " " * max(0, inside.start - len(low) // 2) + low
    at = min(inside.stop - 1 - len(high) // 2, width - len(high))
    if not high:
        return line.rstrip()
    return f"{line} {high}" if at <= len(line) else line.ljust(at) + high
