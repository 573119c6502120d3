"""Acceptance limits, from a procedure's expressions to numbers, to words, to a check.

Numbers are SI inside; words are in the unit people work in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from commission.job.closeness import is_relative
from commission.job.judge import Check, check, room_inside, verdict_of
from commission.procedure.expression import ExpressionError, UnknownValueError, Value, parse
from commission.quantities import show_number, unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.judge_uncertainty import Uncertainty
    from commission.procedure.model import Decision, Expression, Limits
    from commission.quantities import Unit


@dataclass(frozen=True, slots=True)
class Bounds:
    """Limits resolved to SI; a side that is None is open."""

    low: float | None = None
    high: float | None = None
    target: float | None = None
    decision: Decision = "simple"
    unknown: str = ""
    """Why the limits have no value, as the end of a sentence; then nothing can be judged."""

    @property
    def is_open(self) -> bool:
        """Whether everything is inside."""
        return self.low is None and self.high is None and not self.unknown


@dataclass(frozen=True, slots=True)
class Shown:
    """How numbers are to be shown: the unit, and the significant digits of a limit."""

    unit: str = ""
    digits: int = 4
    made: Unit | None = None
    """A unit that no text stands for, such as that of a slope."""

    @property
    def measure(self) -> Unit:
        """The unit with its factor."""
        return self.made or unit(self.unit)

    def difference(self) -> Shown:
        """Return how differences are shown: between 25 degC and 30 degC lie 5 K."""
        return Shown("K", self.digits) if self.measure.is_point else self

    def text(self, si: float) -> str:
        """Return an SI value in words: `42.00 V`."""
        return f"{show_number(self.measure.from_si(si), self.digits)} {self.unit}".strip()


def number(source: Expression | None, values: Mapping[str, Value]) -> float | None:
    """Return an expression's value as a number in SI; None for no expression.

    Raises:
        UnknownValueError: it rests on a name without a value.
        TypeError: it is no number; the procedure's check refuses that beforehand.
    """
    if source is None:
        return None
    value = parse(source).evaluate(values)
    if isinstance(value, str | tuple):
        raise TypeError(f"{source!r} is no number")
    return float(value)


def bounds(limits: Limits | None, values: Mapping[str, Value], in_unit: str) -> Bounds:
    """Return `limits` resolved; every side that is given must be kept, so the narrower counts."""
    if limits is None:
        return Bounds()
    try:
        low, high = number(limits.min, values), number(limits.max, values)
        target = number(limits.target, values)
        tolerance = number(limits.tolerance, values)
    except (UnknownValueError, ExpressionError) as error:
        return Bounds(decision=limits.decision, unknown=reason_of(error))
    if target is not None and tolerance is not None:
        if is_relative(limits.tolerance, in_unit):
            tolerance *= abs(target)
        low = max(target - tolerance, -math.inf if low is None else low)
        high = min(target + tolerance, math.inf if high is None else high)
    return Bounds(low, high, target, limits.decision)


def reason_of(error: UnknownValueError | ExpressionError) -> str:
    """Return why an expression has no value, as the end of a sentence."""
    if isinstance(error, UnknownValueError):
        return f"{error.name} has no value"
    return error.message.rstrip(".")


def words(limit: Bounds, shown: Shown) -> str:
    """Return the limits as a person reads them: `42.00 V to 58.80 V`; empty where all is inside."""
    if limit.unknown:
        return f"not known: {limit.unknown}"
    if limit.low is not None and limit.high is not None:
        return f"{shown.text(limit.low)} to {shown.text(limit.high)}"
    if limit.low is not None:
        return f"at least {shown.text(limit.low)}"
    if limit.high is not None:
        return f"at most {shown.text(limit.high)}"
    return ""


@dataclass(frozen=True, slots=True)
class Measured:
    """A value to judge: what it is called, its SI value and how it was written."""

    value: float
    typed: str = ""
    """As typed with its unit; empty for a computed value."""
    name: str = ""
    """Said before the value where a step has several; empty for the only one."""
    uncertainty: Uncertainty | None = None


def check_bounds(
    measured: Measured, limit: Bounds, shown: Shown, *, in_words: bool = True
) -> Check:
    """Return the check of a value against its limits, with a sentence that has the numbers."""
    record: dict[str, Any] = {
        "check": "bounds",
        "of": measured.name,
        "value": measured.value if math.isfinite(measured.value) and not limit.unknown else None,
        "unit": shown.unit,
        "low": limit.low,
        "high": limit.high,
        "target": limit.target,
        "decision": limit.decision,
        "uncertainty": None if measured.uncertainty is None else measured.uncertainty.expanded,
        "accuracy": None if measured.uncertainty is None else dict(measured.uncertainty.source),
        "shown": words(limit, shown),
    }
    return check(record, _sentence(measured, limit, shown, record) if in_words else "")


def _sentence(measured: Measured, limit: Bounds, shown: Shown, record: dict[str, Any]) -> str:
    if limit.unknown:
        return f"{measured.name or 'It'} cannot be judged: {limit.unknown}."
    if record["value"] is None:
        return f"{measured.name or 'The value'} is no finite number."
    said = _Said(measured, shown)
    if limit.is_open:
        return f"{said.subject}."
    if verdict_of(record) == "pass":
        return f"{said.subject} is good: {words(limit, shown)}."
    return _near_or_outside(said, measured.value, limit, record)


def _near_or_outside(said: _Said, value: float, limit: Bounds, record: dict[str, Any]) -> str:
    room = room_inside(value, limit.low, limit.high)
    if limit.high is not None and limit.high - value <= room:
        edge, way = f"the largest allowed {said.at(limit.high)}", "above"
    else:
        edge, way = f"the smallest allowed {said.at(limit.low or 0.0)}", "below"
    uncertainty = record["uncertainty"]
    if uncertainty is None or room < 0:
        return f"{said.subject} is {said.gap(-room)} {way} {edge}."
    close = f"{said.subject} is {said.gap(room)} inside {edge}"
    if record["decision"] == "simple":
        return f"{close}, closer than its uncertainty of {said.gap(uncertainty)}."
    return f"{close}, less than its uncertainty of {said.gap(uncertainty)} (guarded decision)."


class _Said:
    """Numbers of one sentence, with decimals that fit one another."""

    def __init__(self, measured: Measured, shown: Shown) -> None:
        self._unit = shown.measure
        self._shown = shown
        converted = shown.text(measured.value)
        own = measured.typed.rpartition(" ")[2] if " " in measured.typed else ""
        if not measured.typed:
            value = converted
        elif own == shown.unit:
            value = measured.typed
        else:
            value = f"{measured.typed} ({converted})"
        self.subject = f"{measured.name} {value}".strip()
        same = measured.typed and own == shown.unit
        self._decimals = _decimals((measured.typed if same else converted).split(" ")[0])

    def at(self, si: float) -> str:
        """A limit: as many decimals as the value, more where the limit needs them."""
        number = self._unit.from_si(si)
        needed = show_number(number, self._shown.digits)
        trimmed = needed.rstrip("0").rstrip(".") if "." in needed else needed
        decimals = max(self._decimals, _decimals(trimmed))
        return f"{number:.{decimals}f} {self._shown.unit}".strip()

    def gap(self, si: float) -> str:
        """A difference: as many decimals as the value, two digits where that would show nothing."""
        number = si / self._unit.factor
        text = f"{number:.{self._decimals}f}"
        if float(text) == 0 or abs(float(text) - number) > 0.05 * abs(number):
            text = show_number(number, 2)
        return f"{text} {self._shown.difference().unit}".strip()


def _decimals(text: str) -> int:
    return 0 if "e" in text.lower() else len(text.partition(".")[2])
