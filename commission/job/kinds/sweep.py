"""Pairs of x and y, judged by the straight line through them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.ask import Ask, Asking
from commission.job.closeness import given_of, value_of
from commission.job.judge import Judgement, check, conclude
from commission.job.judge_limits import (
    Bounds,
    Measured,
    Shown,
    check_bounds,
    number,
    reason_of,
    words,
)
from commission.job.kinds.handler import Handler, Look
from commission.job.kinds.valued import typed_text
from commission.job.statistics import is_monotonic, line
from commission.procedure.expression import ExpressionError, UnknownValueError
from commission.quantities import Unit, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.judge import Check
    from commission.job.statistics import Line
    from commission.procedure.model import Expression

_POINT: Final = "point-"
_MOST: Final = 60


class Sweep(Handler):
    """Asks `x` and `y` in pieces `point-1` …, and `more` where the technician decides how many."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        count = len(look.parts)
        return f"{_POINT}{count if _is_whole(look) else count + 1}"

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """See `Handler.asks`."""
        step, place = look.step, int(part.removeprefix(_POINT))
        probe = step.probe or ""
        offered = _offered(look, place)
        x = Ask("x", step.x.label, "quantity", step.x.unit, (), "", offered)
        y = Ask("y", step.y.label, "quantity", step.y.unit, (), _criterion(look), probe=probe)
        if step.points or not step.at_least <= place < _MOST:
            return (x, y)
        return (x, y, Ask("more", "Another point after this one", "yes_no"))

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:  # noqa: ARG002
        """See `Handler.read_with_instrument`: x is set, y is read."""
        return frozenset({"y"} if look.equipment else ())

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        step, place = look.step, part.removeprefix(_POINT)
        total = len(step.points)
        say = f"{step.title}: point {place}{f' of {total}' if total else ''}."
        asks = self.asks(look, part)
        return Asking(step.id, part, say, asks, done=len(look.parts), total=total)

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`."""
        if not _is_whole(look):
            return None
        xs, ys = _coordinates(look, "x"), _coordinates(look, "y")
        try:
            fit = line(xs, ys)
        except ValueError as error:
            record = {"check": "true", "of": look.step.id, "got": False, "shown": "a line"}
            return conclude([check(record, str(error))])
        values = {
            "slope": fit.slope,
            "intercept": fit.intercept,
            "deviation": fit.deviation,
            "correlation": fit.correlation,
        }
        said = _said(look, fit)
        return conclude(_checks(look, fit, xs, ys), said, passed=said, values=values)


def _is_whole(look: Look) -> bool:
    count = len(look.parts)
    if look.step.points:
        return count >= len(look.step.points)
    last = look.parts.get(f"{_POINT}{count}", {})
    return count >= _MOST or (count >= look.step.at_least and last.get("more") is False)


def _coordinates(look: Look, name: str) -> list[float]:
    values = [value_of(piece[name]) for piece in look.parts.values()]
    return [float(value) for value in values if isinstance(value, float | int)]


def _checks(look: Look, fit: Line, xs: list[float], ys: list[float]) -> Iterator[Check]:
    step = look.step
    if step.deviation is not None:
        measured = Measured(fit.deviation, name="The largest deviation from the line")
        yield check_bounds(measured, _bounds(look, None, step.deviation), _y(look).difference())
    if step.slope_min is not None or step.slope_max is not None:
        limits = _bounds(look, step.slope_min, step.slope_max)
        yield check_bounds(Measured(fit.slope, name="The slope"), limits, _slope(look))
    if step.monotonic:
        steady = is_monotonic(xs, ys)
        because = f"{step.y.label} {'never turns' if steady else 'turns'} back."
        yield check({"check": "true", "of": "monotonic", "got": steady}, because)


def _bounds(look: Look, low: Expression | None, high: Expression | None) -> Bounds:
    try:
        return Bounds(number(low, look.values), number(high, look.values))
    except (UnknownValueError, ExpressionError) as error:
        return Bounds(unknown=reason_of(error))


def _y(look: Look) -> Shown:
    return Shown(look.step.y.unit)


def _slope(look: Look) -> Shown:
    """Return the unit of the slope, y's per x's: it has no text of its own to look up."""
    x, y = unit(look.step.x.unit), unit(look.step.y.unit)
    text = f"{_y(look).difference().unit} per {x.text or '1'}"
    return Shown(text, made=Unit(text, y.factor / x.factor, 0.0, y.dimension))


def _offered(look: Look, place: int) -> str:
    """Return the x value to go to; empty where the technician chooses."""
    points = look.step.points
    if place > len(points):
        return ""
    try:
        value = number(points[place - 1], look.values)
    except (UnknownValueError, ExpressionError):
        return ""
    return "" if value is None else typed_text(given_of(value, look.step.x.unit))


def _said(look: Look, fit: Line) -> str:
    return (
        f"Slope {_slope(look).text(fit.slope)}, largest deviation from the line "
        f"{_y(look).difference().text(fit.deviation)}, correlation {fit.correlation:.4f}."
    )


def _criterion(look: Look) -> str:
    step = look.step
    parts = []
    if step.deviation is not None:
        limits = _bounds(look, None, step.deviation)
        parts.append(f"{words(limits, _y(look).difference())} from the line")
    if step.slope_min is not None or step.slope_max is not None:
        limits = _bounds(look, step.slope_min, step.slope_max)
        parts.append(f"slope {words(limits, _slope(look))}")
    if step.monotonic:
        parts.append("never turning back")
    return ", ".join(parts)
