"""What is asked at a hold point: that another person confirms it, or reads again independently.

As in `dialogs`, nothing here touches a widget.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError, RefusedError
from commission.job import moves, witnessing
from commission.job.ask import Ask
from commission.job.joining import as_person, people_with
from commission.tui.job.dialogs import Dialog, known_words
from commission.tui.job.other_instrument import INSTRUMENT, chosen
from commission.tui.job.told import answer_words

if TYPE_CHECKING:
    from commission.job.instrument import Citable
    from commission.tui.job.session import JobSession

_WHO: Final = "the person"
_AGREES: Final = "agrees or not"
_REASON: Final = "the reason"
"""Asks beside a step's own; no name in a procedure has spaces."""


def hold(session: JobSession, step: str, technician: str) -> Dialog:
    """Return the dialog by which another person confirms a step at its hold point.

    An independent witness is asked for the reading again, and shown nothing of the first one.
    """
    planned = session.state.plan.planned(step)
    role = planned.step.hold or "witness"
    answer = session.state.steps[step].answer
    doers = frozenset() if answer is None else answer.doers or frozenset({answer.by})
    known = [name for name in people_with(session.state, role) if name not in doers]
    alone = planned.step.witness is not None and planned.step.witness.alone_after is not None
    again = (
        witnessing.asks(session.state, step, session.now())
        if witnessing.is_independent(planned)
        else ()
    )

    offered = _instruments(session, step) if again else ()

    def take(typed: dict[str, str]) -> None:
        name = typed[_WHO]
        if not alone and name.strip().casefold() in {doer.casefold() for doer in doers}:
            raise RefusedError(
                f"{name} did this step and cannot confirm it.", f"Another {role} has to."
            )
        agrees, reason = typed.get(_AGREES, "yes") == "yes", typed.get(_REASON, "")
        if not agrees and not reason:
            raise RefusedError("Say why not, so that it can be done again.", "Fill in the reason.")
        person = as_person(session, name, role, technician)
        given = {ask.name: typed[ask.name] for ask in again if ask.name in typed}
        read_with = chosen(offered, typed.get(INSTRUMENT, "")) or next(iter(offered), None)
        draft = moves.confirm_hold(
            person.state, step, person.name, agrees=agrees, reason=reason,
            now=session.now(), given=given, instrument=read_with,
        )  # fmt: skip
        session.record([*person.drafts, draft])

    who = Ask(_WHO, f"Name of the {role}", "text", offered=known[0] if known else "")
    title = planned.step.title
    if again:
        with_it = (_instrument_ask(offered),) if offered else ()
        return Dialog(
            f"Hold point: another {role} reads again",
            f"{title}\nTake the reading yourself. The first one is not shown; the two are compared "
            f"once yours is recorded, as it is.\n{known_words(session, role, known)}",
            (who, *again, *with_it, Ask(_REASON, "Remark", "text", optional=True)),
            take,
        )
    given = "nothing yet" if answer is None else answer_words(answer)
    return Dialog(
        f"Hold point: another {role} confirms",
        f"{title}\nGiven: {given}\n{known_words(session, role, known)}",
        (
            who,
            Ask(_AGREES, "Do you confirm it? yes or no", "yes_no"),
            Ask(_REASON, "Remark, or why not", "text", optional=True),
        ),
        take,
    )


def _instruments(session: JobSession, step: str) -> tuple[Citable, ...]:
    """Return the instruments that a witness may read with; the one last read with comes first."""
    kind = witnessing.instrument_kind(session.state, step, session.now())
    if not kind or session.workshop is None:
        return ()
    try:
        return session.workshop.instruments(kind, session.now().at)
    except CommissionError:
        return ()  # the card said so when the step was read


def _instrument_ask(offered: tuple[Citable, ...]) -> Ask:
    first = offered[0]
    against = f" ({first.state.upper()})" if not first.is_good else ""
    return Ask(INSTRUMENT, f"Instrument, if not {first.id}{against}", "text", optional=True)
