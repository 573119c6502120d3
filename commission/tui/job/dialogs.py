"""What the dialogs of a job ask, and what their answers record.

Each function gives the words and the asks; `Take` turns what was given into entries, or says why
they are refused. Nothing here touches a widget.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.job import moves
from commission.job.ask import Ask
from commission.job.failing import on_fail
from commission.job.joining import as_person, people_with
from commission.job.moves_aside import OUTCOMES
from commission.job.route import progress
from commission.job.withheld import as_witness_sees
from commission.tui.job.told import answer_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.moves_instruments import InstrumentError
    from commission.tui.job.session import JobSession


@dataclass(frozen=True, slots=True)
class Dialog:
    """A dialog to show: `take` records, or raises a RefusedError or StoreError."""

    title: str
    text: str
    asks: tuple[Ask, ...]
    take: Callable[[dict[str, str]], None]


def resume(session: JobSession, technician: str) -> Dialog:
    """Return the dialog by which a lead lets a stopped job go on."""
    known = list(people_with(session.state, "lead"))

    def take(typed: dict[str, str]) -> None:
        lead = as_person(session, typed["name"], "lead", technician)
        session.record([*lead.drafts, moves.resume(lead.state, lead.name, typed["reason"])])

    return Dialog(
        "The job is stopped: a lead lets it go on",
        f"{moves.suggest(session.state)}\n{known_words(session, 'lead', known)}",
        (
            Ask("name", "Name of the lead", "text", offered=known[0] if known else ""),
            Ask("reason", "Why it may go on", "text"),
        ),
        take,
    )


def concession(session: JobSession, step: str, technician: str) -> Dialog:
    """Return the dialog by which a named role accepts a failed step."""
    planned = session.state.plan.planned(step)
    role = on_fail(planned.step).concession_by
    known = list(people_with(session.state, role))
    answer = session.state.steps[step].answer
    failed = "" if answer is None else answer_words(answer)

    def take(typed: dict[str, str]) -> None:
        person = as_person(session, typed["name"], role, technician)
        draft = moves.concede(
            person.state, step, person.name, scope=typed["scope"], expiry=typed["expiry"],
            reason=typed["reason"], now=session.now(),
        )  # fmt: skip
        session.record([*person.drafts, draft])

    return Dialog(
        f"Concession by a {role}",
        f"{planned.step.title}\n{failed}\n{known_words(session, role, known)}",
        (
            Ask("name", f"Name of the {role}", "text", offered=known[0] if known else ""),
            Ask("scope", "What exactly is accepted", "text"),
            Ask("expiry", "Until when (YYYY-MM-DD)", "text"),
            Ask("reason", "Why it is acceptable", "text"),
        ),
        take,
    )


def instrument_leave(session: JobSession, needed: InstrumentError, technician: str) -> Dialog:
    """Return the dialog by which a lead lets an instrument be read with all the same."""
    known = people_with(session.state, "lead")

    def take(typed: dict[str, str]) -> None:
        person = as_person(session, typed["name"], "lead", technician)
        draft = moves.concede_instrument(
            person.state, needed.instrument, person.name, scope=typed["scope"],
            expiry=typed["expiry"], reason=typed["reason"], now=session.now(),
        )  # fmt: skip
        session.record([*person.drafts, draft])

    return Dialog(
        "Leave to read with this instrument, by a lead",
        f"{needed.message}\nF10 goes back; F8 there takes another one.\n"
        f"{known_words(session, 'lead', list(known))}",
        (
            Ask("name", "Name of the lead", "text", offered=known[0] if known else ""),
            Ask("scope", "For which readings", "text"),
            Ask("expiry", "Until when (YYYY-MM-DD)", "text", offered=session.now().at[:10]),
            Ask("reason", "Why it is good enough", "text"),
        ),
        take,
    )


def note(session: JobSession, technician: str) -> Dialog:
    """Return the dialog for an open item."""

    def take(typed: dict[str, str]) -> None:
        grade = typed["grade"]
        draft = moves.note(
            session.state, typed["text"], "" if grade == "remark" else grade, technician
        )
        session.record([draft])

    return Dialog(
        "A note for the record",
        "A blocks the release of the bike; B may follow later by agreement; a remark does neither.",
        (
            Ask("text", "What is to be noted", "text"),
            Ask("grade", "Grade", "choice", choices=("A", "B", "remark")),
        ),
        take,
    )


def close_note(session: JobSession, seq: int, technician: str) -> Dialog:
    """Return the dialog that closes an open item."""
    item = as_witness_sees(session.state).notes[seq]

    def take(typed: dict[str, str]) -> None:
        session.record([moves.close_note(session.state, seq, typed["text"], technician)])

    return Dialog(
        f"Close the item of entry {seq}",
        f"{item.grade or 'remark'}: {item.text}  ({item.by})",
        (Ask("text", "How it was settled", "text"),),
        take,
    )


def end_without_release(session: JobSession, technician: str) -> Dialog:
    """Return the dialog that ends the job for good, without a release."""
    done, total = progress(session.state)

    def take(typed: dict[str, str]) -> None:
        if typed["sure"] != "yes":
            raise RefusedError("Nothing was ended.", "Esc or F10 goes back to the job.")
        draft = moves.abandon(session.state, typed["reason"], technician, typed["outcome"])
        session.record([draft])

    return Dialog(
        "End this job without release",
        f"{done} of {total} steps are settled. The record stays; the job cannot be taken up again."
        " The bike is NOT released: hang a tag on it that says so.",
        (
            Ask("outcome", "How it ends", "choice", choices=OUTCOMES),
            Ask("reason", "Why", "text"),
            Ask("sure", "End it for good? yes or no", "yes_no"),
        ),
        take,
    )


def replace_cell(
    session: JobSession, step: str, part: str, given: dict[str, str], technician: str
) -> Dialog:
    """Return the dialog that replaces cells given before, with a reason."""
    names = ", ".join(f"{name} = {text}" for name, text in given.items())

    def take(typed: dict[str, str]) -> None:
        drafts = moves.replace_part(session.state, step, part, given, typed["reason"], technician)
        session.record(drafts)

    return Dialog(
        "Replace a value that was given",
        f"{names}\nThe earlier value stays in the record; this one takes its place.",
        (Ask("reason", "Why it is replaced", "text", offered="mistyped"),),
        take,
    )


def known_words(session: JobSession, role: str, names: list[str]) -> str:
    """Return who takes part with a role, and what another name would do."""
    if session.state.ids:
        here = f"Here as {role}: {', '.join(names)}. " if names else ""
        return f"{here}Somebody else registered as {role} joins by name, id or initials."
    if not names:
        return f"No other {role} takes part yet: the name typed here joins the job as {role}."
    return f"Known as {role}: {', '.join(names)}. Another name joins the job."
