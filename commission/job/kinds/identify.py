"""What something is: serial numbers and versions, typed or scanned, against what is expected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask
from commission.job.judge import Check, Judgement, check, conclude
from commission.job.judge_limits import reason_of
from commission.job.kinds.handler import Handler, Look, refuse
from commission.procedure.expression import ExpressionError, UnknownValueError, parse
from commission.procedure.patterns import LONGEST_TEXT, matches

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.job.state import Given
    from commission.procedure.expression import Value
    from commission.procedure.model import Mark


class Identify(Handler):
    """Asks each field by its id; all in one piece."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        probe = look.step.probe or ""
        return tuple(
            Ask(
                mark.id,
                mark.label,
                "text",
                criterion=_criterion(mark, look.values),
                probe=f"{probe}.{mark.id}" if probe else "",
            )
            for mark in look.step.fields
        )

    def admit(self, look: Look, part: str, piece: Mapping[str, Given]) -> None:  # noqa: ARG002
        """See `Handler.admit`: an identification is short."""
        for mark in look.step.fields:
            length = len(piece.get(mark.id, ""))
            if length > LONGEST_TEXT:
                raise refuse(
                    f"{mark.label}: {length} characters are too many.",
                    f"Use at most {LONGEST_TEXT}.",
                )

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        given = look.parts[""]
        checks = [
            one for mark in look.step.fields for one in _checks(mark, given[mark.id], look.values)
        ]
        named = ", ".join(f"{mark.label} {given[mark.id]}" for mark in look.step.fields)
        return conclude(checks, f"{named}.")


def _checks(mark: Mark, got: str, values: Mapping[str, Value]) -> Iterator[Check]:
    if mark.pattern is not None:
        fits = matches(mark.pattern, got)
        record = {"check": "true", "of": mark.id, "got": fits, "text": got, "pattern": mark.pattern}
        verb = "has" if fits else "does not have"
        yield check(record, f"{mark.label} {got} {verb} the form {mark.pattern}.")
    if mark.expected is not None:
        wanted, unknown = _expected(mark, values)
        record = {"check": "equal", "of": mark.id, "got": got, "wanted": wanted, "within": 0.0}
        if wanted is None:
            yield check(record, f"{mark.label} {got} cannot be judged: {unknown}.")
        elif wanted == got:
            yield check(record, f"{mark.label} is {got}, as expected.")
        else:
            yield check(record, f"{mark.label} is {got}; expected: {wanted}.")


def _expected(mark: Mark, values: Mapping[str, Value]) -> tuple[str | None, str]:
    if mark.expected is None:
        return None, ""
    try:
        value = parse(mark.expected).evaluate(values)
    except (UnknownValueError, ExpressionError) as error:
        return None, reason_of(error)
    return (f"{value:g}" if isinstance(value, float) else str(value)), ""


def _criterion(mark: Mark, values: Mapping[str, Value]) -> str:
    words = []
    if mark.expected is not None:
        wanted, unknown = _expected(mark, values)
        words.append(f"not known: {unknown}" if wanted is None else wanted)
    if mark.pattern is not None:
        words.append(f"form {mark.pattern}")
    return ", ".join(words)
