"""Settings as found: read and recorded whatever they are; what is implausible is said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Asking
from commission.job.closeness import is_same, shown
from commission.job.judge import Judgement, conclude
from commission.job.kinds.cells import asked, cell, next_piece, read, unread
from commission.job.kinds.handler import Handler, Look
from commission.job.kinds.valued import implausible, span

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Ask
    from commission.job.state import Given

_CELLS = "cells-"
_SAY = {
    "controller": "Read each setting in the controller and enter it as it stands there.",
    "record": "Enter each setting as the earlier record says it was left.",
}
_READ = {"controller": "read as found", "record": "taken from the earlier record"}


class ReadBack(Handler):
    """Asks each setting by its id, in pieces `cells-1`, `cells-2` and so on.

    Where an earlier step has read the settings, what has changed since is said, not judged.
    """

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
        say = _SAY[look.step.source]
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
        changed = _changed(look, got)
        because = " ".join([_said(look, len(names), changed), *changed.values(), *odd.values()])
        return conclude((), because, implausible=list(odd), changed=list(changed))


def _said(look: Look, count: int, changed: Mapping[str, str]) -> str:
    again = any(_before(look, name) is not None for name in _names(look))
    if not again:
        return f"{count} settings {_READ[look.step.source]}."
    return f"{count} settings read again, {len(changed) or 'none'} changed."


def _changed(look: Look, got: Mapping[str, Given]) -> dict[str, str]:
    """Return what differs from the first reading, each in words; empty at the first one."""
    told: dict[str, str] = {}
    for name, now in got.items():
        before, setting = _before(look, name), look.state.plan.settings[name]
        if before is not None and not is_same(setting, before, now, look.values):
            told[name] = f"{setting.label} was {shown(before)}, is {shown(now)}."
    return told


def _before(look: Look, name: str) -> Given:
    """Return what an earlier step read of a setting; None where this is the first."""
    stands = look.state.settings.get(name)
    found = None if stands is None else stands.found
    return None if found is None or found.step == look.step.id else found.given


def _names(look: Look) -> tuple[str, ...]:
    step = look.step
    return tuple(look.state.plan.settings) if step.settings == "all" else tuple(step.settings)


def _plausible(look: Look, name: str) -> str:
    limits = span(look.state.plan.settings[name], look.values)
    return "" if limits is None else f"plausible: {limits}"
