"""Correcting an earlier answer: which value, then the new one and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.job import moves
from commission.job.ask import Ask
from commission.job.closeness import shown
from commission.tui.job.dialogs import Dialog
from commission.tui.notice import Notice

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.screen import Screen

    from commission.job.state import Given
    from commission.tui.job.session import JobSession

_REASON = "reason for the record"
"""The ask beside the value; no name in a procedure has spaces."""


@dataclass(frozen=True, slots=True)
class Correctable:
    """One value of a concluded answer."""

    part: str
    ask: Ask
    given: Given

    def __str__(self) -> str:
        piece = f"{self.part}: " if self.part else ""
        return f"{piece}{self.ask.label} = {shown(self.given)}"


def correctables(session: JobSession, step: str) -> tuple[Correctable, ...]:
    """Return the values of the step's answer that can be corrected; moments cannot."""
    answer = session.state.steps[step].answer
    if answer is None:
        return ()
    found = []
    for part, piece in answer.parts.items():
        try:
            asking = moves.asking(session.state, step, session.now(), part)
        except RefusedError:
            continue
        found += [
            Correctable(part, ask, piece[ask.name])
            for ask in asking.asks
            if ask.name in piece and ask.type not in {"done", "file"}
        ]
    return tuple(found)


def correction(session: JobSession, step: str, what: Correctable, technician: str) -> Dialog:
    """Return the dialog that corrects one value, with a reason."""
    planned = session.state.plan.planned(step)

    def take(typed: dict[str, str]) -> None:
        parts = {what.part: {what.ask.name: typed[what.ask.name]}}
        session.record(
            moves.correct(session.state, step, parts, typed[_REASON], technician, session.now())
        )

    text = (
        f"{planned.step.title}\nGiven: {what}\n"
        "The earlier answer stays in the record. What rests on it becomes due again."
    )
    asks = (
        Ask(what.ask.name, what.ask.label, what.ask.type, what.ask.unit, what.ask.choices,
            what.ask.criterion),
        Ask(_REASON, "Why it is corrected", "text"),
    )  # fmt: skip
    return Dialog("Correct an answer", text, asks, take)


def choose_what(
    screen: Screen[None],
    session: JobSession,
    step: str,
    technician: str,
    ask: Callable[[Dialog], None],
) -> None:
    """Have a person choose the value where there are several, then ask for the correction."""
    found = correctables(session, step)
    if not found:
        text = "What was done at a moment cannot be corrected; note it with F5 instead."
        screen.app.push_screen(Notice("Nothing to correct here", text))
    elif len(found) == 1:
        ask(correction(session, step, found[0], technician))
    else:
        names = [str(one) for one in found]

        def chosen(name: str | None) -> None:
            if name in names:
                ask(correction(session, step, found[names.index(name)], technician))

        screen.app.push_screen(Notice("Which value is corrected?", "", names), chosen)
