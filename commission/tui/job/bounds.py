"""The limits a field is shown against while it is typed; the verdict is the record's alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job.judge_limits import Shown, bounds, number
from commission.job.kinds.valued import span
from commission.procedure.expression import ExpressionError, UnknownValueError
from commission.tui.job.scale import Bounds

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Ask
    from commission.procedure.expression import Value

OPEN = Bounds(None, None)


def bounds_for(step: Any, ask: Ask, known: Mapping[str, Value]) -> Bounds:  # noqa: ANN401  any kind of step
    """Return the limits of `ask` as far as they are known now; open where there are none."""
    try:
        match step.kind:
            case "measure":
                found = bounds(step.limits, known, step.unit)
                return _shown(found.low, found.high, Shown(step.unit, step.digits), found.target)
            case "fact" if ask.type in {"quantity", "integer"}:
                plausible = span(step.fact, known)
                if plausible is not None:
                    low, high = str(plausible).split(" to ")
                    return Bounds(plausible.low, plausible.high, labels=(low, high))
            case "power_cycle" if ask.type == "quantity" and step.below is not None:
                return _shown(None, number(step.below, known), Shown(ask.unit))
    except (UnknownValueError, ExpressionError, TypeError):
        return OPEN
    return OPEN


def _shown(
    low: float | None, high: float | None, shown: Shown, target: float | None = None
) -> Bounds:
    ends = ("" if low is None else shown.text(low), "" if high is None else shown.text(high))
    return Bounds(low, high, target, ends)
