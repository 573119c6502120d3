"""One of several: a choice with good options, and an observation against the one expected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask
from commission.job.judge import Check, Judgement, check, conclude
from commission.job.judge_limits import reason_of
from commission.job.kinds.handler import Handler, Look
from commission.procedure.expression import ExpressionError, UnknownValueError, with_choices

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.procedure import model
    from commission.procedure.expression import Value


class Choose(Handler):
    """Asks `value`, one of the options."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        step = look.step
        good = " or ".join(step.good)
        return (Ask("value", "Choice", "choice", "", step.options, good, probe=step.probe or ""),)

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        step, got = look.step, look.parts[""]["value"]
        if not step.good:
            return conclude((), f"It is {got}.")
        record = {"check": "among", "of": step.id, "got": got, "good": list(step.good)}
        if got in step.good:
            return conclude([check(record, f"It is {got}.")])
        return conclude([check(record, f"It is {got}; good is {' or '.join(step.good)}.")])


class Observe(Handler):
    """Asks `value`, what was seen; nothing is ever offered."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        return (observation(look.step, look.values, "value"),)

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        return conclude([check_seen(look.step, look.parts[""]["value"], look.values)])


def observation(step: model.Observe, values: Mapping[str, Value], name: str) -> Ask:
    """Return the ask for an observation, under `name` in the given mapping."""
    wanted, unknown = expected(step, values)
    criterion = f"not known: {unknown}" if wanted is None else wanted
    return Ask(name, "Seen", "choice", "", step.options, criterion, probe=step.probe or "")


def expected(step: model.Observe, values: Mapping[str, Value]) -> tuple[str | None, str]:
    """Return what is expected to be seen, or None and why that is not known."""
    try:
        value = with_choices(step.expected, step.options).evaluate(values)
    except (UnknownValueError, ExpressionError) as error:
        return None, reason_of(error)
    text = ("yes" if value else "no") if isinstance(value, bool) else str(value)
    as_written = {option.casefold(): option for option in step.options}
    return as_written.get(text.casefold(), text), ""


def check_seen(step: model.Observe, seen: str, values: Mapping[str, Value]) -> Check:
    """Return the check of what was seen against what is expected."""
    wanted, unknown = expected(step, values)
    record = {"check": "equal", "of": step.id, "got": seen, "wanted": wanted, "within": 0.0}
    if wanted is None:
        return check(record, f"Seen: {seen}. It cannot be judged: {unknown}.")
    if seen == wanted:
        return check(record, f"Seen: {seen}, as expected.")
    return check(record, f"Seen: {seen}; expected: {wanted}.")
