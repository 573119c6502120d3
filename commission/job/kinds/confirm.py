"""Something done: `done`, or `cannot` with the reason, which fails the step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask
from commission.job.judge import Judgement, check, conclude
from commission.job.kinds.handler import Handler, Look, refuse

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.state import Given


class Confirm(Handler):
    """Asks `value` (done or cannot) and `reason`, which only `cannot` needs."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        return (
            Ask("value", "Done", "done", choices=("done", "cannot"), probe=look.step.probe or ""),
            Ask("reason", "Why it cannot be done", "text", optional=True),
        )

    def admit(self, look: Look, part: str, piece: Mapping[str, Given]) -> None:  # noqa: ARG002
        """See `Handler.admit`: what cannot be done needs a reason."""
        if piece.get("value") is False and not piece.get("reason"):
            raise refuse("Why it cannot be done: nothing was entered.", "Say what stands against.")

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        given = look.parts[""]
        done = given["value"]
        because = "Done." if done else f"It could not be done: {given.get('reason', '')}"
        return conclude([check({"check": "true", "of": look.step.id, "got": done}, because)])
