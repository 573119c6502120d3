"""What a virtual bike answers: by the names of `commission.procedure.vocabulary`, as typed text."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING, Final

from commission.practice.probes import acting, bench, closer, moving, parts, workshop
from commission.practice.probes.looking import Look, NoAnswerError, NothingSeenError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = ["ANSWERS", "Look", "NoAnswerError", "NothingSeenError", "answer", "probe_of"]

ANSWERS: Final[Mapping[str, Callable[[Look], str]]] = {
    **acting.PROBED, **bench.PROBED, **closer.PROBED, **moving.PROBED,
    **parts.PROBED, **workshop.PROBED,
}  # fmt: skip
"""Every probe that a bike answers by itself; settings, files and power are the leader's work."""


def answer(look: Look) -> str:
    """Return the text a person would type for what is asked: a number, an option, `done`.

    Raises:
        NoAnswerError: the bike knows no such probe, or no option stands for what was seen.
        NothingSeenError: the bike does not let it be seen or done.
    """
    name = probe_of(look.probe, look.ask.name)
    if name is None:
        asked = look.probe or look.ask.label
        near = difflib.get_close_matches(look.probe, ANSWERS, n=1)
        hint = f"Did you mean {near[0]}?" if near else "Give the step a probe of the list."
        raise NoAnswerError(f"The virtual bike has no answer for {asked!r}.", hint)
    look.probe = name
    return ANSWERS[name](look)


def probe_of(probe: str, asked: str) -> str | None:
    """Return the name in `ANSWERS` for a step's probe and what it asks; None where there is none.

    What a step asks besides its one value tells its probes apart (`gearing` asked for
    `driven_teeth`), and fields and columns come with their own name at the end.
    """
    if f"{probe}.{asked}" in ANSWERS:
        return f"{probe}.{asked}"
    name = probe.removesuffix(f".{asked}")
    return name if name in ANSWERS else None
