"""Repeated runs of several readings, judged by their statistics; around the circle for angles."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from commission.calculators import circular
from commission.job.ask import Ask, Asking
from commission.job.instrument import CITED
from commission.job.judge import Judgement, conclude
from commission.job.judge_limits import (
    Bounds,
    Measured,
    Shown,
    check_bounds,
    number,
    reason_of,
    words,
)
from commission.job.judge_uncertainty import uncertainty
from commission.job.kinds.handler import Handler, Look
from commission.job.statistics import circular_summary, summary
from commission.procedure.expression import ExpressionError, UnknownValueError
from commission.quantities import Reading

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.judge import Check
    from commission.job.judge_uncertainty import Uncertainty
    from commission.job.statistics import Summary
    from commission.procedure.model import Column, Expression

_RUN = "run-"


class Series(Handler):
    """Asks each column by its id, in pieces `run-1`, `run-2` and so on."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        return f"{_RUN}{min(len(look.parts) + 1, look.step.runs)}"

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  all runs are alike
        """See `Handler.asks`."""
        probe = look.step.probe or ""
        return tuple(
            Ask(
                column.id, column.label, "quantity", column.unit, (), _criterion(look, column),
                probe=f"{probe}.{column.id}" if probe else "",
            )
            for column in look.step.columns
        )  # fmt: skip

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:  # noqa: ARG002
        """See `Handler.read_with_instrument`: each column is a reading."""
        return frozenset(column.id for column in look.step.columns if look.equipment)

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        say = f"{look.step.title}: run {part.removeprefix(_RUN)} of {look.step.runs}."
        asks = self.asks(look, part)
        done = len(look.parts)
        return Asking(look.step.id, part, say, asks, done=done, total=look.step.runs)

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`."""
        if len(look.parts) < look.step.runs:
            return None
        checks: list[Check] = []
        values: dict[str, Any] = {}
        said = []
        for column in look.step.columns:
            readings = _readings(look, column)
            runs = [reading.si for reading in readings]
            found = circular_summary(runs) if column.circular else summary(runs)
            sure = _least_sure(look, column, readings)
            checks += _checks(look, column, found, sure)
            values |= _values(column.id, found, runs)
            said.append(_said(column, found))
        return conclude(checks, " ".join(said), passed=" ".join(said), values=values)


def _readings(look: Look, column: Column) -> list[Reading]:
    given = [piece[column.id] for piece in look.parts.values()]
    return [Reading(one["typed"], one["unit"]) for one in given]


def _least_sure(look: Look, column: Column, readings: list[Reading]) -> Uncertainty | None:
    """Return the largest uncertainty of a run: what an instrument errs by does not average out."""
    cited = [piece[column.id].get(CITED) for piece in look.parts.values()]
    pairs = zip(readings, cited, strict=True)
    sure = [one for reading, by in pairs if (one := uncertainty(reading, look.equipment, by))]
    return max(sure, key=lambda one: one.expanded, default=None)


def _checks(
    look: Look, column: Column, found: Summary, sure: Uncertainty | None
) -> Iterator[Check]:
    shown = Shown(column.unit)
    if column.min is not None or column.max is not None:
        limits = _bounds(look, column.min, column.max)
        mean = _around(found.mean, limits) if column.circular else found.mean
        measured = Measured(mean, name=f"{column.label}, mean", uncertainty=sure)
        yield check_bounds(measured, limits, shown)
    apart = shown.difference()
    if column.within is not None:
        limits = _bounds(look, None, column.within)
        distance, unknown = _distance(look, column, found.mean)
        limits = Bounds(unknown=unknown) if unknown else limits
        measured = Measured(distance, name=f"{column.label}, distance of the mean from its target",
                            uncertainty=sure)  # fmt: skip
        yield check_bounds(measured, limits, apart)
    if column.spread is not None:
        measured = Measured(found.spread, name=f"{column.label}, standard deviation")
        yield check_bounds(measured, _bounds(look, None, column.spread), apart)
    if column.range is not None:
        measured = Measured(found.range, name=f"{column.label}, range")
        yield check_bounds(measured, _bounds(look, None, column.range), apart)


def _bounds(look: Look, low: Expression | None, high: Expression | None) -> Bounds:
    try:
        return Bounds(number(low, look.values), number(high, look.values))
    except (UnknownValueError, ExpressionError) as error:
        return Bounds(unknown=reason_of(error))


def _around(mean: float, limits: Bounds) -> float:
    """Return an angle on the turn that begins half a turn before the middle of its limits."""
    ends = [end for end in (limits.low, limits.high) if end is not None]
    if not ends or not math.isfinite(mean):
        return mean
    middle = sum(ends) / len(ends)
    return middle + circular.wrapped(mean - middle)


def _distance(look: Look, column: Column, mean: float) -> tuple[float, str]:
    """Return how far the mean lies from its target, or why that is not known."""
    try:
        target = number(column.target, look.values)
    except (UnknownValueError, ExpressionError) as error:
        return math.nan, reason_of(error)
    if target is None:
        return math.nan, "no target is given"
    if not math.isfinite(mean):
        return math.nan, ""
    return (circular.distance(mean, target) if column.circular else abs(mean - target)), ""


def _values(column: str, found: Summary, runs: list[float]) -> dict[str, Any]:
    return {
        column: _finite(found.mean),
        f"{column}.spread": _finite(found.spread),
        f"{column}.range": found.range,
        f"{column}.runs": runs,
    }


def _finite(number: float) -> float | None:
    return number if math.isfinite(number) else None


def _said(column: Column, found: Summary) -> str:
    shown = Shown(column.unit)
    apart = shown.difference()
    if not math.isfinite(found.mean):
        return f"{column.label}: the runs have no common direction."
    return (
        f"{column.label}: mean {shown.text(found.mean)}, standard deviation "
        f"{apart.text(found.spread)}, range {apart.text(found.range)} in {found.count} runs."
    )


def _criterion(look: Look, column: Column) -> str:
    shown = Shown(column.unit)
    apart = shown.difference()
    parts = []
    if column.min is not None or column.max is not None:
        parts.append(f"mean {words(_bounds(look, column.min, column.max), shown)}")
    if column.within is not None:
        target = words(_bounds(look, None, column.target), shown).removeprefix("at most ")
        within = words(_bounds(look, None, column.within), apart).removeprefix("at most ")
        parts.append(f"mean within {within} of {target}")
    if column.spread is not None:
        parts.append(f"deviation {words(_bounds(look, None, column.spread), apart)}")
    if column.range is not None:
        parts.append(f"range {words(_bounds(look, None, column.range), apart)}")
    return ", ".join(parts)
