"""Correcting an earlier answer: which value, then the new one and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.job import moves
from commission.job.ask import Ask
from commission.job.closeness import shown
from commission.job.instrument import CITED, kind_read_with
from commission.job.kinds.valued import typed_text
from commission.job.witnessing import KEPT, kept_from_witness
from commission.tui.job.dialogs import Dialog
from commission.tui.job.other_instrument import INSTRUMENT, chosen
from commission.tui.notice import Notice

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.screen import Screen

    from commission.job.instrument import Citable
    from commission.job.state import Given
    from commission.tui.job.session import JobSession

_REASON = "reason for the record"
"""The asks beside the value; no name in a procedure has spaces."""


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

    known = _instruments(session, step, what)

    def take(typed: dict[str, str]) -> None:
        parts = {what.part: {what.ask.name: typed[what.ask.name]}}
        other = chosen(known, typed.get(INSTRUMENT, ""))
        session.record(
            moves.correct(
                session.state, step, parts, typed[_REASON], technician, session.now(), other
            )
        )

    is_kept = kept_from_witness(session.state) == step
    given = f"{what.ask.label}, {KEPT}" if is_kept else what
    offered = typed_text(what.given) if known and not is_kept else ""
    text = (
        f"{planned.step.title}\nGiven: {given}\n"
        "The earlier answer stays in the record. What rests on it becomes due again."
    )
    with_it = Ask(INSTRUMENT, "Instrument, if it was another", "text", optional=True)
    asks = (
        Ask(what.ask.name, what.ask.label, what.ask.type, what.ask.unit, what.ask.choices,
            what.ask.criterion, offered),
        *((with_it,) if known else ()),
        Ask(_REASON, "Why it is corrected", "text"),
    )  # fmt: skip
    if known:
        text += f"\nRead with {what.given[CITED]['id'] or 'another'}; registered: "
        text += f"{', '.join(one.id for one in known if one.id)}."
    return Dialog("Correct an answer", text, asks, take)


def _instruments(session: JobSession, step: str, what: Correctable) -> tuple[Citable, ...]:
    """Return what a reading that cites an instrument could have been taken with, as it stood then.

    Raises:
        StoreError: the register cannot be read.
    """
    answer = session.state.steps[step].answer
    cites = isinstance(what.given, dict) and CITED in what.given
    if not cites or session.workshop is None or answer is None:
        return ()
    moment = session.now() if answer.moment is None else answer.moment
    return session.workshop.instruments(kind_read_with(session.state, step), moment.at)


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
        is_kept = kept_from_witness(session.state) == step
        names = [one.ask.label if is_kept else str(one) for one in found]

        def chosen(name: str | None) -> None:
            if name in names:
                ask(correction(session, step, found[names.index(name)], technician))

        screen.app.push_screen(Notice("Which value is corrected?", "", names), chosen)
