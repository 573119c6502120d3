"""A photo or a file, kept with the job by the digest of its content."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask
from commission.job.judge import Judgement, conclude
from commission.job.kinds.handler import Handler

if TYPE_CHECKING:
    from commission.job.kinds.handler import Look


class Attach(Handler):
    """Asks `value`, the description of a file whose content was kept; `choices` are its endings."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        step = look.step
        endings = " or ".join(step.types)
        return (Ask("value", step.what, "file", "", step.types, endings, probe=step.probe or ""),)

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        file = look.parts[""]["value"]
        return conclude((), f"Kept {file['name']}, {file['size']} bytes, {file['sha256'][:12]}….")
