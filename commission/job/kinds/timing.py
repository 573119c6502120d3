"""Time that must pass in a step, by the clocks of its entries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Wait
from commission.job.elapsed import seconds
from commission.job.judge_limits import number, reason_of
from commission.job.kinds.handler import refuse
from commission.procedure.expression import ExpressionError, UnknownValueError

if TYPE_CHECKING:
    from commission.job.kinds.handler import Look
    from commission.procedure.model import Expression


def number_asked(look: Look, source: Expression | None, what: str) -> float:
    """Return a number that the step cannot go on without, in SI, or refuse saying what lacks."""
    try:
        value = number(source, look.values)
    except (UnknownValueError, ExpressionError) as error:
        raise refuse(
            f"{what} is not known: {reason_of(error)}.", "Answer or correct what it rests on."
        ) from error
    if value is None:
        raise refuse(f"{what} is not given by the procedure.")
    return value


def waiting(look: Look, since: str, duration: Expression, what: str) -> Wait | None:
    """Return how long there is to wait since a piece was given; None before it was."""
    begun = look.step_state.part_moments.get(since)
    if begun is None:
        return None
    whole = number_asked(look, duration, what)
    return Wait(whole, max(0.0, whole - seconds(begun[1], look.now)))
