"""What a series or a sweep shows while it grows: rows, statistics and a plot, as plain lines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.job.statistics import circular_summary, line, summary
from commission.quantities import Reading, show_number, unit
from commission.tui.plot import Line, plot

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from commission.job.state import Parts
    from commission.procedure.model import Column, Series, Sweep

_NARROW = 11


def pieces(parts: Parts, prefix: str) -> list[Mapping[str, object]]:
    """Return the pieces called `prefix` and a number, in the order of their numbers."""
    numbered = sorted(
        (int(name.removeprefix(prefix)), given)
        for name, given in parts.items()
        if name.startswith(prefix) and name.removeprefix(prefix).isdigit()
    )
    return [given for _, given in numbered]


def values(runs: Sequence[Mapping[str, object]], name: str) -> list[float]:
    """Return the SI values of one reading of all runs."""
    return [number(run[name]) for run in runs if name in run]


def number(given: object) -> float:
    """Return the SI value of a quantity that was given."""
    if not isinstance(given, dict):
        raise TypeError("a reading is a number with its unit")
    return Reading(str(given["typed"]), str(given["unit"])).si


def series_lines(
    step: Series, parts: Parts, shown: int, typed: Mapping[str, str] | None = None
) -> list[str]:
    """Return heading, statistics and the last `shown` runs, newest last, then the one in hand."""
    runs = pieces(parts, "run-")
    names = [_short(column.label) for column in step.columns]
    lines = ["".join([f"{'':8}", *(f"{name:>{_NARROW}}" for name in names)])]
    statistics = [_statistics(column, values(runs, column.id)) for column in step.columns]
    for row, word in enumerate(("mean", "sd n-1", "range")):
        cells = "".join(f"{column[row]:>{_NARROW}}" for column in statistics)
        lines.append(f"{word:8}{cells}")
    first = max(0, len(runs) - shown)
    for at, run in enumerate(runs[first:], start=first + 1):
        cells = "".join(f"{_typed(run.get(column.id)):>{_NARROW}}" for column in step.columns)
        lines.append(f"run {at:<4}{cells}")
    in_hand = "".join(f"{(typed or {}).get(one.id, '…'):>{_NARROW}}" for one in step.columns)
    return [*lines, f"> run {len(runs) + 1:<2}{in_hand}"]


def series_plot(column: Column, parts: Parts, width: int, height: int) -> list[str]:
    """Return the plot of one reading against the run, with its mean.

    Angles are drawn around their mean, so that 359 and 1 degree lie beside each other.
    """
    found = values(pieces(parts, "run-"), column.id)
    if not found:
        return []
    middle = (circular_summary(found) if column.circular else summary(found)).mean
    if column.circular and not math.isnan(middle):
        found = [middle + math.remainder(si - middle, math.tau) for si in found]
    points = [(float(at), _of(si, column.unit)) for at, si in enumerate(found, start=1)]
    mean = None if math.isnan(middle) else Line(0.0, _of(middle, column.unit))
    return plot(points, width, height, mean, ("run", f"{column.label} {column.unit}".strip()))


def sweep_points(step: Sweep, parts: Parts) -> list[tuple[float, float]]:
    """Return the points given so far, in the units of the axes."""
    return [
        (_of(number(point["x"]), step.x.unit), _of(number(point["y"]), step.y.unit))
        for point in pieces(parts, "point-")
        if "x" in point and "y" in point
    ]


def sweep_lines(
    step: Sweep, parts: Parts, shown: int, typed: Mapping[str, str] | None = None
) -> list[str]:
    """Return the last `shown` points, newest last, the one in hand, and the fit."""
    points = sweep_points(step, parts)
    x, y = (_short(f"{axis.label} {axis.unit}".strip()) for axis in (step.x, step.y))
    lines = [f"{'':8}{x:>{_NARROW}}{y:>{_NARROW}}"]
    first = max(0, len(points) - shown)
    for at, point in enumerate(points[first:], start=first + 1):
        cells = "".join(f"{show_number(value, 4):>{_NARROW}}" for value in point)
        lines.append(f"point {at:<2}{cells}")
    in_hand = "".join(f"{(typed or {}).get(name, '…'):>{_NARROW}}" for name in "xy")
    lines.append(f"> {len(points) + 1:<6}{in_hand}")
    fit = fitted(points)
    if fit is not None:
        lines.append(f"slope {show_number(fit.slope, 4)} {step.y.unit} per {step.x.unit}")
        far = max(abs(y - fit.at(x)) for x, y in points)
        lines.append(f"largest distance {show_number(far, 3)} {step.y.unit}")
    return lines


def sweep_plot(step: Sweep, parts: Parts, width: int, height: int) -> list[str]:
    """Return the plot of the points with the fitted line."""
    points = sweep_points(step, parts)
    return plot(points, width, height, fitted(points), (step.x.label, step.y.label))


def fitted(points: Sequence[tuple[float, float]]) -> Line | None:
    """Return the least-squares line, or None where there are not two different x."""
    if len({x for x, _ in points}) < 2:  # noqa: PLR2004  a line needs two points
        return None
    fit = line([x for x, _ in points], [y for _, y in points])
    return Line(fit.slope, fit.intercept)


def _statistics(column: Column, found: Sequence[float]) -> tuple[str, str, str]:
    if not found:
        return "", "", ""
    result = circular_summary(found) if column.circular else summary(found)
    spread = _difference(result.spread, column.unit) if len(found) > 1 else "-"
    mean = "none" if math.isnan(result.mean) else show_number(_of(result.mean, column.unit), 4)
    return mean, spread, _difference(result.range, column.unit)


def _of(si: float, text: str) -> float:
    return unit(text).from_si(si)


def _difference(si: float, text: str) -> str:
    return show_number(si / unit(text).factor, 3)


def _typed(given: object) -> str:
    return str(given.get("typed", "")) if isinstance(given, dict) else ""


def _short(text: str) -> str:
    return text if len(text) < _NARROW else f"{text[: _NARROW - 2]}…"
