"""A fact of the bike: one typed value, refused outside its plausible range."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.job.closeness import shown
from commission.job.judge import Judgement, conclude
from commission.job.kinds.handler import Handler, Look, refuse
from commission.job.kinds.valued import ask, implausible, offered_default, span

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Ask
    from commission.job.state import Given


class Fact(Handler):
    """Asks `value`."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        fact = look.step.fact
        limits = span(fact, look.values)
        one = ask(
            fact,
            "value",
            criterion="" if limits is None else str(limits),
            offered=offered_default(fact, look.values),
        )
        return (replace(one, optional=fact.optional, probe=look.step.probe or ""),)

    def admit(self, look: Look, part: str, piece: Mapping[str, Given]) -> None:  # noqa: ARG002
        """See `Handler.admit`: a fact must be plausible."""
        if "value" in piece:
            wrong = implausible(look.step.fact, piece["value"], look.values)
            if wrong:
                raise refuse(wrong, "Check the number and its unit.")

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        given = look.parts[""].get("value")
        if given is None:
            return conclude((), f"{look.step.fact.label} is not known.")
        return conclude((), f"{look.step.fact.label} is {shown(given)}.")
