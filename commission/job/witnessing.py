"""How a hold point is confirmed: beside the doer, independently, or alone after a time.

concurrent           another person looks at the answer and confirms it
independent          another person takes the reading again, without having seen the first one or
                     its verdict; the two are compared afterwards. What does not agree fails the
                     step, as it was read: nobody may change a reading to fit
delayed self-check   the one who did it looks again after a set time, where the procedure allows
                     it and nobody else takes part in that role; the record says so
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError, RefusedError
from commission.job.closeness import is_relative, shown, value_of
from commission.job.elapsed import seconds
from commission.job.instrument import kind_read_with, with_citation
from commission.job.judge_limits import Shown
from commission.job.kinds import HANDLERS, Look
from commission.job.resolved import number_now
from commission.job.state import Status
from commission.job.values import values
from commission.procedure.expression import parse
from commission.quantities import plain_number

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Ask
    from commission.job.entry import Instant
    from commission.job.instrument import Citable
    from commission.job.judge import Judgement
    from commission.job.plan import PlannedStep
    from commission.job.state import Answer, Given, JobState
    from commission.job.working import Working

CONCURRENT: Final = "concurrent"
INDEPENDENT: Final = "independent"
ALONE: Final = "delayed self-check"
KEPT: Final = "kept from the witness"
"""What a face says instead of an answer that its witness has yet to find alone."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A witness's own reading beside the first."""

    parts: Mapping[str, Mapping[str, Given]]
    judgement: Judgement
    agrees: bool
    because: str


def is_independent(planned: PlannedStep) -> bool:
    """Return whether the witness of a step reads again without seeing the first reading."""
    how = planned.step.witness
    return how is not None and how.independent


def kept_from_witness(state: JobState) -> str:
    """Return the step whose answer may not be shown until its witness has read; empty for none."""
    if state.frontier >= len(state.plan.steps) or state.outcome:
        return ""
    due = state.plan.steps[state.frontier]
    waits = state.steps[due.id].status is Status.HOLD
    return due.id if waits and is_independent(due) else ""


def mode_of(job: JobState | Working, planned: PlannedStep, by: str, now: Instant) -> str:
    """Return how somebody would confirm a hold now.

    Raises:
        IllegalEntryError: who did the step cannot confirm it, or not yet.
    """
    answer = job.steps[planned.id].answer
    if answer is not None and by in answer.doers:
        _check_alone(job, planned, answer, by, now)
        return ALONE
    return INDEPENDENT if is_independent(planned) else CONCURRENT


def asks(state: JobState, step: str, now: Instant) -> tuple[Ask, ...]:
    """Return what an independent witness is asked: as the step asks, with nothing given."""
    planned = state.plan.planned(step)
    look = _blank(state, planned, now, "")
    return HANDLERS[planned.step.kind].asks(look, "")


def instrument_kind(state: JobState, step: str, now: Instant) -> str:
    """Return the kind of instrument that a witness reads with; empty where it is no reading."""
    look = _blank(state, state.plan.planned(step), now, "")
    read = HANDLERS[look.step.kind].read_with_instrument(look, "")
    return kind_read_with(state, step) if read else ""


def compare(
    state: JobState, step: str, given: Mapping[str, Any], by: str, now: Instant,
    instrument: Citable | None = None,
) -> Compared:  # fmt: skip
    """Return a witness's own reading, judged for itself and compared with the first.

    It is judged with the accuracy of `instrument`, which it cites; without one with the accuracy
    that the procedure asks for.

    Raises:
        RefusedError: it cannot be understood; says which field and how to mend it.
    """
    planned = state.plan.planned(step)
    answer = state.steps[step].answer
    if answer is None:
        raise RefusedError(f"“{planned.step.title}” has not been answered.")
    look = _blank(state, planned, now, by)
    handler = HANDLERS[planned.step.kind]
    piece = handler.parse(look, "", given, whole=True)
    if instrument is not None:
        read = handler.read_with_instrument(look, "")
        piece |= {name: with_citation(piece[name], instrument) for name in read if name in piece}
    judgement = handler.conclude(look.with_part("", piece))
    if judgement is None:
        raise RefusedError("What was given does not make a whole answer.")
    first, second = answer.parts[""]["value"], piece["value"]
    is_near = near(state, planned, first, second)
    agrees = is_near and judgement.verdict != "fail"
    said = "agree" if is_near else "do not agree"
    because = f"The witness read {shown(second)}, the first was {shown(first)}"
    because += f"{_apart(planned, first, second)}: they {said}."
    if is_near and not agrees:
        because += f" {judgement.because}"
    return Compared({"": piece}, judgement, agrees, because)


def _blank(state: JobState, planned: PlannedStep, now: Instant, by: str) -> Look:
    return Look(state, planned.step, {}, values(state), now, by)


def near(state: JobState, planned: PlannedStep, first: Given, second: Given) -> bool:
    """Return whether a witness's reading is as near to the first one as the procedure wants."""
    one, other, how = value_of(first), value_of(second), planned.step.witness
    if isinstance(one, str | bool) or isinstance(other, str | bool):
        return one == other
    if isinstance(one, tuple) or isinstance(other, tuple) or how is None or how.within is None:
        return False
    amount = parse(how.within).evaluate(values(state))
    if isinstance(amount, str | tuple):
        return False
    share = is_relative(how.within, getattr(planned.step, "unit", ""))
    return abs(one - other) <= abs(float(amount)) * (abs(one) if share else 1.0) * (1 + 1e-9)


def _apart(planned: PlannedStep, first: Given, second: Given) -> str:
    """Return how far apart two readings are, in words; empty where they are no numbers."""
    one, other = value_of(first), value_of(second)
    if isinstance(one, str | bool | tuple) or isinstance(other, str | bool | tuple):
        return ""
    step = planned.step
    how = Shown(getattr(step, "unit", ""), getattr(step, "digits", 4)).difference()
    by = plain_number(how.measure.from_si(abs(one - other)), how.digits)
    return f", {by} {how.unit}".rstrip() + " apart"


def _check_alone(
    job: JobState | Working, planned: PlannedStep, answer: Answer, by: str, now: Instant
) -> None:
    role, how = str(planned.step.hold), planned.step.witness
    others = [n for n, roles in job.people.items() if role in roles and n not in answer.doers]
    if how is None or how.alone_after is None or others or answer.moment is None:
        here = f" With this role: {', '.join(sorted(others))}." if others else ""
        raise IllegalEntryError(
            f"{by} did step {planned.id} and cannot confirm it.", f"Another {role} has to.{here}"
        )
    wait = number_now(job, how.alone_after) - seconds(answer.moment, now)
    if wait > 0:
        raise IllegalEntryError(
            f"{by} did step {planned.id} and cannot confirm it yet.",
            f"Look at it again with fresh eyes in {wait:.0f} s.",
        )
