"""What stands beside a reading, by prompts: its instrument, like bikes, this bike's last visit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.cli.plain import signing
from commission.errors import CommissionError, QuantityError, RefusedError
from commission.job import moves
from commission.job.joining import as_person
from commission.job.judge_limits import Shown
from commission.job.like_bikes import place_words, words
from commission.quantities import parse_reading

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.cli.plain.talk import Talk
    from commission.job.ask import Ask, Asking
    from commission.job.instrument import Citable
    from commission.job.like_bikes import LikeBikes
    from commission.job.plan import PlannedStep
    from commission.record.session import Session


def instrument(session: Session, asking: Asking, talk: Talk) -> Citable | None:
    """Return what the reading is taken with; asked once a step, None where nothing is cited."""
    return instrument_of(session, asking.instrument, talk, is_told=bool(asking.done))


def instrument_of(
    session: Session, kind: str, talk: Talk, *, is_told: bool = False
) -> Citable | None:  # fmt: skip
    """Return the instrument of a kind that is read with; `is_told` takes the one taken last.

    None where the kind is empty, or nothing of it is registered.
    """
    if not kind:
        return None
    try:
        known = session.workshop.instruments(kind, session.now().at)
    except CommissionError as error:
        talk.tell(f"Instruments: {error.diagnostics()}", indent="  ")
        return None
    if not known:
        return None
    last = talk.instruments.get(kind)
    known = tuple(sorted(known, key=lambda one: one.id != last))
    if is_told and last is not None:
        return known[0]
    first, *others = known
    talk.tell(f"Read with {described(first)}.", indent="  ")
    for number, one in enumerate(others, 2):
        talk.tell(f"{number}. {described(one)}", indent="    ")
    while typed := talk.ask("Enter takes it, a number another:"):
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(known):
            first = known[int(typed) - 1]
            break
        talk.tell(f"Type a number from 1 to {len(known)}, or Enter.")
    talk.instruments[kind] = first.id
    return first


def described(one: Citable) -> str:
    """Return an instrument and how it stands, in words."""
    if not one.is_good:
        return f"{one}, which {one.why_not}"
    return f"{one}, calibrated until {one.due}" if one.due else str(one)


def leave(session: Session, one: Citable, technician: str, talk: Talk) -> None:
    """Have a lead give leave to read with an instrument all the same, or not.

    Raises:
        RefusedError: nobody gives leave, or it will not do.
    """
    name = talk.ask("Name of the lead who gives leave (Enter for nobody):")
    if not name:
        raise RefusedError(f"{one} is not read with.", "Choose another instrument.")
    joins = as_person(session, name, "lead", technician)
    draft = moves.concede_instrument(
        joins.state, one, joins.name, scope=talk.ask_filled("For which readings:"),
        expiry=talk.ask_filled("Until when (YYYY-MM-DD):"),
        reason=talk.ask_filled("Why it is good enough:"), now=session.now(),
    )  # fmt: skip
    signing.record(session, [*joins.drafts, draft], talk)


def like(session: Session, planned: PlannedStep, asking: Asking) -> Mapping[str, LikeBikes]:
    """Return what like bikes read, by ask; nothing where that cannot be looked up."""
    from commission.record.workshop import reading_name

    opened = session.state.opened
    if opened is None or opened.practice:
        return {}
    try:
        found = session.workshop.like(session.state, planned)
    except CommissionError:
        return {}
    named = {ask.name: reading_name(planned.kind, ask.name, asking.part) for ask in asking.asks}
    return {ask: found[name] for ask, name in named.items() if name in found}


def tell_like(found: LikeBikes, planned: PlannedStep, ask: Ask, talk: Talk) -> None:
    """Say what like bikes read, before the reading is asked."""
    if said := words(found, _shown(planned, ask)):
        talk.tell(f"{said}.", indent="  ")


def tell_place(found: LikeBikes, planned: PlannedStep, ask: Ask, typed: object, talk: Talk) -> None:
    """Say where a reading lies among those of like bikes, after it was typed."""
    try:
        value = parse_reading(str(typed), ask.unit).si
    except QuantityError:
        return
    said, _ = place_words(found, value, _shown(planned, ask))
    if said:
        talk.tell(said, indent="  ")


def tell_visit(session: Session, talk: Talk, *, whole: bool) -> None:
    """Say what differs from this bike's last visit; `whole` says each setting."""
    from commission.job.last_visit import since_last_visit, summary

    try:
        visit = session.workshop.last_visit(session.state)
    except CommissionError as error:
        talk.tell(f"The last visit cannot be read: {error.diagnostics()}", indent="  ")
        return
    if visit is None:
        if whole:
            talk.tell("No earlier job of a bike with this frame number has ended on this bench.")
        return
    lines = since_last_visit(visit.state, session.state)
    if said := summary(lines):
        talk.tell(f"Since {visit.at[:10]} ({visit.title}, {visit.job}): {said}", indent="  ")
    for line in lines if whole else ():
        left, found = line.left or "-", line.found or "-"
        talk.tell(f"{line.label}: left {left}, found {found}: {line.since}", indent="  ")


def _shown(planned: PlannedStep, ask: Ask) -> Shown:
    return Shown(ask.unit, getattr(planned.step, "digits", 4))
