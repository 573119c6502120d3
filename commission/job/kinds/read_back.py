"""Settings as found: read and recorded whatever they are; what is implausible is said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Asking
from commission.job.judge import Judgement, conclude
from commission.job.kinds.cells import asked, cell, next_piece, read, unread
from commission.job.kinds.handler import Handler, Look
from commission.job.kinds.valued import implausible, span

if TYPE_CHECKING:
    from commission.job.ask import Ask

_CELLS = "cells-"


class ReadBack(Handler):
    """Asks each setting by its id, in pieces `cells-1`, `cells-2` and so on."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        return next_piece(look, _names(look), _CELLS)

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """See `Handler.asks`."""
        return tuple(
            cell(look, name, _plausible(look, name)) for name in asked(look, part, _names(look))
        )

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        done, total = len(read(look.parts)), len(_names(look))
        say = "Read each setting in the controller and enter it as it stands there."
        asks = self.asks(look, part)
        return Asking(look.step.id, part, say, asks, some=True, done=done, total=total)

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`: what was read is neither good nor bad."""
        names = _names(look)
        if unread(names, look.parts):
            return None
        got = read(look.parts)
        odd = {
            name: said
            for name in names
            if (said := implausible(look.state.plan.settings[name], got[name], look.values))
        }
        because = " ".join([f"{len(names)} settings read as found.", *odd.values()])
        return conclude((), because, implausible=list(odd))


def _names(look: Look) -> tuple[str, ...]:
    step = look.step
    return tuple(look.state.plan.settings) if step.settings == "all" else tuple(step.settings)


def _plausible(look: Look, name: str) -> str:
    limits = span(look.state.plan.settings[name], look.values)
    return "" if limits is None else f"plausible: {limits}"
