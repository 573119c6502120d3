"""Settings written: each is read back in the same session and compared with what was intended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job.ask import Asking
from commission.job.closeness import is_same, shown
from commission.job.judge import Check, Judgement, conclude
from commission.job.kinds.cells import asked, cell, check_same, next_piece, read, unread
from commission.job.kinds.handler import Handler, Look, refuse
from commission.job.kinds.valued import computed_from, implausible, intended

if TYPE_CHECKING:
    from commission.job.ask import Ask
    from commission.job.state import Given

_CELLS = "cells-"


class Write(Handler):
    """Asks each setting by its id, as it reads after writing, in pieces `cells-1` and so on."""

    in_pieces = True

    def part(self, look: Look) -> str:
        """See `Handler.part`."""
        return next_piece(look, look.step.settings, _CELLS)

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """See `Handler.asks`."""
        names = asked(look, part, look.step.settings)
        return tuple(cell(look, name, _criterion(look, name)) for name in names)

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`."""
        step = look.step
        done, total = len(read(look.parts)), len(step.settings)
        way = f" by {step.route}" if step.route else ""
        say = f"Set each setting{way}, store it, read it again and enter what it reads."
        asks = self.asks(look, part)
        return Asking(step.id, part, say, asks, some=True, done=done, total=total)

    def ready(self, look: Look, part: str) -> None:  # noqa: ARG002
        """See `Handler.ready`: nothing is written before it was read as found."""
        settings = look.state.settings
        missing = [
            look.state.plan.settings[name].label
            for name in look.step.settings
            if name not in settings or settings[name].found is None
        ]
        if missing:
            raise refuse(
                f"Not yet read as found: {', '.join(missing)}.",
                "Read settings back before anything is changed.",
            )

    def beside(self, look: Look, *parts: str) -> dict[str, Any]:
        """See `Handler.beside`: what each setting was to be when it was written."""
        names = [name for part in parts for name in look.parts.get(part, ())]
        wanted = {name: _intended(look, name)[0] for name in names}
        return {"intended": {name: one for name, one in wanted.items() if one is not None}}

    def conclude(self, look: Look) -> Judgement | None:
        """See `Handler.conclude`."""
        names = look.step.settings
        if unread(names, look.parts):
            return None
        got = read(look.parts)
        checks = [_check(look, name, got[name]) for name in names]
        return conclude(checks, passed=_all_took(look, got))


def _intended(look: Look, name: str) -> tuple[Given, str]:
    stands = look.state.settings.get(name)
    found = None if stands is None or stands.found is None else stands.found.given
    return intended(look.state.plan.settings[name], look.values, found)


def _criterion(look: Look, name: str) -> str:
    wanted, unknown = _intended(look, name)
    if wanted is None:
        return f"not known: {unknown}"
    setting = look.state.plan.settings[name]
    if setting.intended is None:
        return f"{shown(wanted)}, as found"
    names = ", ".join(computed_from(setting))
    return f"{shown(wanted)} (from {names})" if names else shown(wanted)


def _check(look: Look, name: str, got: Given) -> Check:
    setting = look.state.plan.settings[name]
    wanted, unknown = _intended(look, name)
    if wanted is None:
        because = f"{setting.label} reads {shown(got)}; it cannot be judged: {unknown}."
    elif is_same(setting, wanted, got, look.values):
        because = f"{setting.label} reads {shown(got)}, as intended."
    else:
        because = (
            f"{setting.label} did not take: it reads {shown(got)}; intended is {shown(wanted)}."
        )
    return check_same(setting, wanted, got, look.values, because)


def _all_took(look: Look, got: dict[str, Given]) -> str:
    settings = look.state.plan.settings
    odd = [
        said
        for name in look.step.settings
        if (said := implausible(settings[name], got[name], look.values))
    ]
    read_so = ", ".join(f"{settings[name].label} {shown(got[name])}" for name in look.step.settings)
    return " ".join([f"Written and read back as intended: {read_so}.", *odd])
