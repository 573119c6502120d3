"""A wait that cannot be cut short: it starts, and is done when its time has passed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask, Asking
from commission.job.judge import Judgement, conclude
from commission.job.kinds.handler import Handler, Look, refuse
from commission.job.kinds.timing import number_asked, waiting

if TYPE_CHECKING:
    from commission.job.ask import Wait

_START, _DONE = "start", "done"


class Dwell(Handler):
    """Asks `start`, then `done`, which concludes and is no piece of its own."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        return _DONE if _START in look.parts else _START

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """See `Handler.asks`."""
        label = "Start the wait" if part == _START else "The wait is over"
        return (Ask("value", label, "done", probe=look.step.probe or ""),)

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        whole = number_asked(look, look.step.duration, "The duration")
        say = f"Wait {whole:.0f} s." if part == _START else "Leave it until the timer has run down."
        wait = _wait(look) if part == _DONE else None
        done = len(look.parts)
        asks = self.asks(look, part)
        return Asking(look.step.id, part, say, asks, wait=wait, done=done, total=2)

    def ready(self, look: Look, part: str) -> None:
        """See `Handler.ready`."""
        wait = _wait(look)
        if part == _DONE and wait is not None and wait.remaining > 0:
            raise refuse(
                f"{wait.seconds - wait.remaining:.0f} s of {wait.seconds:.0f} s have passed.",
                f"Wait another {wait.remaining:.0f} s.",
            )

    def is_kept(self, part: str) -> bool:
        """See `Handler.is_kept`: the conclusion says that it is done."""
        return part == _START

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`."""
        wait = _wait(look)
        if _DONE not in look.parts or wait is None:
            return None
        return conclude((), f"Waited at least {wait.seconds:.0f} s.", seconds=wait.seconds)


def _wait(look: Look) -> Wait | None:
    return waiting(look, _START, look.step.duration, "The duration")
