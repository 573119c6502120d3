"""Small plots out of characters: points with a fitted line, or curves with the present point.

Axes with their ends written; signs and places only, no colour, so a plot reads in monochrome.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from commission.quantities import show_number

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_WIDTH: Final = 24
LEAST_HEIGHT: Final = 5
_MIDDLE_FROM: Final = 7
"""Rows from which on the middle of the y axis is written too."""
_THIRDS: Final = ".·'"
"""A curve within its row: low, in the middle, high."""
_OTHERS: Final = "+x"
"""The second and the third curve."""
PRESENT: Final = "●"
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line y = slope * x + intercept."""

    slope: float
    intercept: float

    def at(self, x: float) -> float:
        """Return y at `x`."""
        return self.slope * x + self.intercept


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve: its points, ascending in x, and the one that holds now."""

    points: tuple[Point, ...]
    present: Point | None = None
    is_whole: bool = False
    """Whether it has no gaps, however far apart its points are."""


def plot(
    points: Sequence[Point],
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
    x, y = _span([x for x, _ in points]), _span([y for _, y in points])
    ends = {0: show_number(y[1], 4), height - 3: show_number(y[0], 4)}
    grid = _Grid(x, y, width, height - 2, ends)
    if line is not None:
        for column in range(grid.columns):
            at = line.at(grid.x_at(column))
            if y[0] <= at <= y[1]:
                grid.put(column, grid.row(at), "·")
    for point in points:
        grid.put(grid.column(point[0]), grid.row(point[1]), PRESENT)
    return grid.lines(labels)


def plot_curves(
    curves: Sequence[Curve], width: int, height: int, labels: tuple[str, str] = ("", "")
) -> list[str]:
    """Return the curves as `height` lines of at most `width` characters; empty without points.

    The first curve is drawn finely with `.·'`, others with `+` and `x`; `●` is the present point,
    `┴` its place on the x axis. Both axes end at round numbers.
    """
    every = [point for curve in curves for point in curve.points]
    every += [curve.present for curve in curves if curve.present is not None]
    if not every or height < LEAST_HEIGHT or width < LEAST_WIDTH:
        return []
    y = round_span(min(y for _, y in every), max(y for _, y in every))
    rows = height - 2
    ends = {0: _end(y[1]), rows - 1: _end(y[0])}
    if rows >= _MIDDLE_FROM and rows % 2:
        ends[rows // 2] = _end((y[0] + y[1]) / 2.0)
    x = round_span(min(x for x, _ in every), max(x for x, _ in every))
    grid = _Grid(x, y, width, rows, ends)
    for at, curve in reversed(list(enumerate(curves))):
        grid.trace(curve, _OTHERS[min(at, len(_OTHERS)) - 1] if at else "")
    for curve in curves:
        if curve.present is not None:
            column = grid.column(curve.present[0])
            grid.put(column, grid.row(curve.present[1]), PRESENT)
            grid.ticks.add(column)
    return grid.lines(labels)


def sign_of(at: int) -> str:
    """Return the sign of the curve at this place among several, for a legend."""
    return _OTHERS[min(at, len(_OTHERS)) - 1] if at else _THIRDS[1]


def round_span(low: float, high: float) -> tuple[float, float]:
    """Return the ends of an axis at round numbers (1, 2 or 5 times a power of ten) around a span.

    The axis begins at zero where the values come near it.
    """
    if low == high:
        low, high = _span([low])
    if 0.0 < low < 0.4 * high:
        low = 0.0
    elif 0.4 * low < high < 0.0:
        high = 0.0
    size = 10.0 ** math.floor(math.log10(high - low))
    step = size / 5.0 if high - low < 2.0 * size else size / 2.0
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step


class _Grid:
    """Cells between two axes."""

    def __init__(
        self, x: Point, y: Point, width: int, rows: int, ends: dict[int, str]
    ) -> None:  # fmt: skip
        self._x, self._y, self._rows, self._ends = x, y, rows, ends
        self._margin = max(map(len, ends.values()))
        self.columns = max(1, width - self._margin - 2)
        self.ticks: set[int] = set()
        self._cells = [[" "] * self.columns for _ in range(rows)]

    def put(self, column: int, row: int, sign: str) -> None:
        self._cells[row][column] = sign

    def row(self, y: float) -> int:
        return self._rows - 1 - _place(y, self._y, self._rows)

    def column(self, x: float) -> int:
        return _place(x, self._x, self.columns)

    def x_at(self, column: int) -> float:
        part = column / max(1, self.columns - 1)
        return self._x[0] + part * (self._x[1] - self._x[0])

    def trace(self, curve: Curve, sign: str) -> None:
        """Draw a curve column by column, its points joined; a gap between points stays a gap."""
        points = curve.points
        if len(points) < 2:  # noqa: PLR2004  nothing to join
            return
        widest = 2.5 * (points[-1][0] - points[0][0]) / (len(points) - 1)
        widest = math.inf if curve.is_whole else widest
        last: int | None = None
        for column in range(self.columns):
            y = _between(points, self.x_at(column), widest)
            if y is None:
                last = None
                continue
            row = self.row(y)
            for passed in range(min(last, row) + 1, max(last, row)) if last is not None else ():
                self.put(column, passed, sign or _THIRDS[1])
            self.put(column, row, sign or self._third(y, row))
            last = row

    def _third(self, y: float, row: int) -> str:
        """Return the sign for a height within its row."""
        exact = (y - self._y[0]) / (self._y[1] - self._y[0]) * (self._rows - 1)
        away = exact - (self._rows - 1 - row)
        return _THIRDS[0] if away < -1 / 6 else _THIRDS[2] if away > 1 / 6 else _THIRDS[1]

    def lines(self, labels: tuple[str, str]) -> list[str]:
        drawn = [self._left(row) + "".join(cells) for row, cells in enumerate(self._cells)]
        base = ["┴" if column in self.ticks else "─" for column in range(self.columns)]
        axis = " " * self._margin + " └" + "".join(base)
        return [*(line.rstrip() for line in drawn), axis, self._below(labels)]

    def _left(self, row: int) -> str:
        tick = "┤" if row in self._ends else "│"
        return f"{self._ends.get(row, ''):>{self._margin}} {tick}"

    def _below(self, labels: tuple[str, str]) -> str:
        low, high = map(_end, self._x)
        middle = " against ".join(label for label in reversed(labels) if label)
        room = self.columns - len(low) - len(high) - 2
        if room < 1:
            return (" " * (self._margin + 2) + low)[: self._margin + 2 + self.columns]
        middle = middle if len(middle) <= room else middle[: room - 1] + "…"
        return " " * (self._margin + 2) + f"{low} {middle:^{room}} {high}"


def _between(points: Sequence[Point], x: float, widest: float) -> float | None:
    """Return y at `x` on the straight between its neighbours; None beyond the ends or in a gap."""
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= x <= x1:
            if x1 - x0 > widest:
                return None
            return y0 if x1 == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return None


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
