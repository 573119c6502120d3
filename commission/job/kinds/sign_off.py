"""A signature over the record so far, with its meaning. The record adds it, see `job.signed`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job import release
from commission.job.ask import Ask
from commission.job.judge import Judgement, conclude
from commission.job.kinds.handler import Handler, refuse
from commission.job.moves_guard import has_role

if TYPE_CHECKING:
    from commission.job.kinds.handler import Look

_SAYS: Final = {
    "done": "I have done this work as recorded",
    "witnessed": "I have witnessed this work as recorded",
    "released": "I release this bike as recorded",
}


class SignOff(Handler):
    """Asks `value`: done."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        label = f"{_SAYS[look.step.meaning]} ({look.step.role})"
        return (Ask("value", label, "done", probe=look.step.probe or ""),)

    def ready(self, look: Look, part: str) -> None:  # noqa: ARG002  one piece
        """See `Handler.ready`: the role, another person as witness, nothing open at release."""
        has_role(look.state, look.by, look.step.role, "This signature")
        if look.step.meaning == "witnessed" and look.by in _signed_done(look):
            raise refuse(
                f"{look.by} signed the work as done and cannot witness it.",
                "Another person has to.",
            )
        if look.step.meaning == "released":
            found = release.hindrances(look.state, look.now.at)
            if found:
                raise refuse(
                    f"The job cannot be released: {'; '.join(found)}.",
                    "Close the items, or have the concessions renewed.",
                )

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        step = look.step
        return conclude(
            (),
            f"{look.by}, {step.role}: {_SAYS[step.meaning]}.",
            meaning=step.meaning,
            role=step.role,
            signer=look.by,
        )


def _signed_done(look: Look) -> set[str]:
    return {
        stands.answer.by
        for stands in look.state.steps.values()
        if stands.answer is not None and stands.answer.judged.get("meaning") == "done"
    }
