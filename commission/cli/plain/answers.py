"""Taking one piece of an answer by prompts, whatever its step's kind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from commission.cli.plain import beside, signing
from commission.errors import CommissionError, QuantityError
from commission.job import moves
from commission.job.joining import as_person
from commission.job.moves_instruments import InstrumentError
from commission.quantities import parse_reading

if TYPE_CHECKING:
    from commission.cli.plain.talk import Talk
    from commission.job.ask import Ask, Asking
    from commission.job.entry import Draft
    from commission.job.plan import PlannedStep
    from commission.record.session import Session


Entered = str | dict[str, str | int]
"""What was typed, or the description of a file that was kept."""


def take(session: Session, planned: PlannedStep, technician: str, talk: Talk) -> None:
    """Ask for the open piece of the step, wait where time must pass, and record it.

    Raises:
        RefusedError: the answer is not taken; nothing was recorded.
    """
    role = getattr(planned.step, "role", "technician")
    by = _signer(session, role, technician, talk)
    asking = moves.asking(session.state, planned.step.id, session.now())
    # The title stands above it already.
    if asking.say and (asking.total > 1 or not asking.say.startswith(planned.step.title)):
        counted = f" ({asking.done + 1} of {asking.total})" if asking.total > 1 else ""
        talk.tell(f"{asking.say}{counted}", indent="  ")
    if planned.kind == "read_back" and not asking.done:
        beside.tell_visit(session, talk, whole=False)
    instrument = beside.instrument(session, asking, talk)
    known = beside.like(session, planned, asking)
    given: dict[str, Entered] = {}
    for ask in asking.asks:
        if ask.optional and "done" in given.values():
            continue  # why something cannot be done is asked only where it was not done
        if ask.name in known:
            beside.tell_like(known[ask.name], planned, ask, talk)
        if typed := answer(ask, session, talk):
            given[ask.name] = typed
            if ask.name in known:
                beside.tell_place(known[ask.name], planned, ask, typed, talk)
    _wait(asking, session, planned, talk)

    def drafts() -> tuple[Draft, ...]:
        who, step = as_person(session, by, role, technician), planned.step.id
        made = moves.submit(who.state, step, given, who.name, session.now(), instrument)
        return (*who.drafts, *made)

    try:
        made = drafts()
    except InstrumentError as needed:
        talk.tell(needed.message, indent="  ")
        beside.leave(session, needed.instrument, technician, talk)
        made = drafts()
    signing.record(session, made, talk)


def _signer(session: Session, role: str, technician: str, talk: Talk) -> str:
    """Return who answers: for a signature, somebody with the role it takes."""
    if role in session.state.people.get(technician, frozenset()):
        return technician
    name = talk.ask_filled(f"Name of the {role} who signs:")
    return as_person(session, name, role, technician).name


def answer(ask: Ask, session: Session, talk: Talk) -> Entered:
    """Return what was typed for one ask, in the form that `moves.submit` takes."""
    # A range of what is plausible is no promise that a value in it is good.
    word = "" if ask.criterion.startswith("plausible: ") else "good: "
    good = f" [{word}{ask.criterion}]" if ask.criterion else ""
    match ask.type:
        case "choice":
            return talk.pick(f"{ask.label}?{good}", ask.choices)
        case "yes_no":
            return "yes" if talk.agree(f"{ask.label}?") else "no"
        case "done":
            how = "done (or Enter, to say why not)" if ask.optional else "done"
            typed = (talk.ask if ask.optional else talk.ask_filled)(f"{ask.label}: type {how}")
            return typed.casefold()
        case "file":
            return _file(ask, session, talk)
        case "quantity" | "integer":
            return _number(ask, good, talk)
        case _:
            return _text(ask, good, talk)


def _text(ask: Ask, good: str, talk: Talk) -> str:
    offered = f" ({ask.offered} if you type =)" if ask.offered else ""
    prompt = f"{ask.label}{good}{offered}:"
    typed = talk.ask(prompt) if ask.optional else talk.ask_filled(prompt)
    return ask.offered if typed == "=" and ask.offered else typed


def _number(ask: Ask, good: str, talk: Talk) -> str:
    unit = f" in {ask.unit}" if ask.unit else ""
    offered = f" (= takes {ask.offered})" if ask.offered else ""
    while True:
        prompt = f"{ask.label}{unit}{good}{offered}:"
        typed = talk.ask(prompt) if ask.optional else talk.ask_filled(prompt)
        if not typed:
            return ""
        typed = ask.offered if typed == "=" and ask.offered else typed
        try:
            understood = parse_reading(typed, ask.unit)
        except QuantityError as error:
            talk.tell(error.diagnostics(), indent="  ")
            continue
        talk.tell(f"= {understood}", indent="  ")
        if not talk.source.isatty() or talk.ask("Enter takes it, anything else asks again:") == "":
            return typed


def _file(ask: Ask, session: Session, talk: Talk) -> Entered:
    while True:
        path = talk.ask_filled(f"{ask.label}, path of the file:")
        try:
            return session.attach(Path(path).expanduser())
        except CommissionError as error:
            talk.tell(error.diagnostics(), indent="  ")


def _wait(asking: Asking, session: Session, planned: PlannedStep, talk: Talk) -> None:
    """Wait until the piece may be given: the timer cannot be cut short."""
    wait = asking.wait
    while wait is not None and wait.remaining > 0:
        talk.tell(f"{wait.remaining:.0f} s to wait.", indent="  ")
        talk.sleep(min(wait.remaining, 30.0))
        wait = moves.asking(session.state, planned.step.id, session.now()).wait
