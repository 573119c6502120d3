"""Small plots out of characters: points, the fitted line, and axes with their ends written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.quantities import show_number

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_WIDTH: Final = 24
LEAST_HEIGHT: Final = 5


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line y = slope * x + intercept."""

    slope: float
    intercept: float

    def at(self, x: float) -> float:
        """Return y at `x`."""
        return self.slope * x + self.intercept


def plot(
    points: Sequence[tuple[float, float]],
    width: int,
    height: int,
    line: Line | None = None,
    labels: tuple[str, str] = ("", ""),
) -> list[str]:
    """Return the plot as `height` lines of at most `width` characters; empty without points.

    `●` is a point, `·` the line; the ends of both axes are written, x `labels[0]`, y `labels[1]`.
    """
    if not points or height < LEAST_HEIGHT or width < LEAST_WIDTH:
        return []
    return _Grid(points, width, height - 2, line).lines(labels)


class _Grid:
    def __init__(
        self, points: Sequence[tuple[float, float]], width: int, rows: int, line: Line | None
    ) -> None:
        self._points = points
        self._line = line
        self._x = _span([x for x, _ in points])
        self._y = _span([y for _, y in points])
        self._ends = [show_number(y, 4) for y in (self._y[1], self._y[0])]
        self._margin = max(map(len, self._ends))
        self._columns = width - self._margin - 2
        self._rows = rows

    def lines(self, labels: tuple[str, str]) -> list[str]:
        cells = [[" "] * self._columns for _ in range(self._rows)]
        if self._line is not None:
            for column in range(self._columns):
                part = column / max(1, self._columns - 1)
                y = self._line.at(self._x[0] + part * (self._x[1] - self._x[0]))
                if self._y[0] <= y <= self._y[1]:
                    cells[self._row(y)][column] = "·"
        for x, y in self._points:
            cells[self._row(y)][_place(x, self._x, self._columns)] = "●"
        drawn = [self._left(row) + "".join(line) for row, line in enumerate(cells)]
        axis = " " * self._margin + " └" + "─" * self._columns
        return [*(line.rstrip() for line in drawn), axis, self._below(labels)]

    def _row(self, y: float) -> int:
        return self._rows - 1 - _place(y, self._y, self._rows)

    def _left(self, row: int) -> str:
        ends = {0: self._ends[0], self._rows - 1: self._ends[1]}
        tick = "┤" if row in ends else "│"
        return f"{ends.get(row, ''):>{self._margin}} {tick}"

    def _below(self, labels: tuple[str, str]) -> str:
        low, high = map(_end, self._x)
        middle = " against ".join(label for label in reversed(labels) if label)
        room = self._columns - len(low) - len(high) - 2
        if room < 1:
            return (" " * (self._margin + 2) + low)[: self._margin + 2 + self._columns]
        middle = middle if len(middle) <= room else middle[: room - 1] + "…"
        return " " * (self._margin + 2) + f"{low} {middle:^{room}} {high}"


def _end(number: float) -> str:
    text = show_number(number, 4)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    if low == high:
        room = abs(low) * 0.05 or 1.0
        return low - room, high + room
    return low, high


def _place(value: float, span: tuple[float, float], cells: int) -> int:
    return min(cells - 1, max(0, round((value - span[0]) / (span[1] - span[0]) * (cells - 1))))
