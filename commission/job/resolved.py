"""An expression's number at this point of a job, or a refusal that names what is missing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.job.values import values
from commission.procedure.expression import ExpressionError, UnknownValueError, parse

if TYPE_CHECKING:
    from commission.job.state import JobState
    from commission.job.working import Working
    from commission.procedure.model import Expression


def number_now(job: JobState | Working, source: Expression) -> float:
    """Return the expression's value in SI.

    Raises:
        IllegalEntryError: it has no value yet, or is no number.
    """
    try:
        value = parse(source).evaluate(values(job))
    except UnknownValueError as error:
        raise IllegalEntryError(f"{source!r} rests on {error.name}, which has no value.") from error
    except ExpressionError as error:
        raise IllegalEntryError(f"{source!r} {error.message}.") from error
    if isinstance(value, str | tuple):
        raise IllegalEntryError(f"{source!r} is not a number.")
    return float(value)
