"""The rules of entries about the job as a whole: its start, people, interruptions, notes, end."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, get_args

from commission.errors import IllegalEntryError
from commission.job.state import Note, Opened
from commission.procedure.model import Role

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.entry import Entry
    from commission.job.working import Working

_ROLES: Final = frozenset(get_args(Role))
_GRADES: Final = ("A", "B", "")


def opened(job: Working, entry: Entry) -> None:
    """Begin the job."""
    body = entry.body
    own, embedded = job.plan.procedure, body["procedure"]
    if (embedded["id"], embedded["revision"]) != (own.procedure, own.revision):
        raise IllegalEntryError(
            f"The job was opened with {embedded['id']} revision {embedded['revision']}; "
            f"this is {own.procedure} revision {own.revision}."
        )
    register = body.get("register")
    for person in body["people"]:
        if (register is None) is not ("id" not in person):
            raise IllegalEntryError(
                f"{person['name']} is in no register." if register else "There is no register."
            )
        _take_in(job, person["name"], person["roles"], person.get("id", ""))
    job.opened = Opened(
        job=body["job"],
        bike=dict(body["bike"]),
        procedure=embedded["id"],
        revision=embedded["revision"],
        digest=embedded["digest"],
        practice=bool(body["practice"]),
        at=entry.at,
        by=entry.by,
        register=0 if register is None else register["entry"],
    )
    job.go_forward()


def joined(job: Working, entry: Entry) -> None:
    """Take another person in, or give one more roles."""
    person = entry.body.get("id", "")
    if bool(person) is not bool(job.ids):
        raise IllegalEntryError(
            f"{entry.body['name']} is in no register." if job.ids else "There is no register."
        )
    _take_in(job, entry.body["name"], entry.body["roles"], person)


def left(job: Working, _: Entry) -> None:
    """Take note that work was interrupted."""
    if job.away:
        raise IllegalEntryError("Work was left already.")
    job.away = True


def returned(job: Working, _: Entry) -> None:
    """Take work up again: also where the interruption itself could not be recorded."""
    job.away = False
    job.reread = job.recent


def reread(job: Working, entry: Entry) -> None:
    """Take note that the last steps were shown again."""
    if not job.reread:
        raise IllegalEntryError("Nothing is to be read again.")
    if tuple(entry.body["steps"]) != job.reread:
        raise IllegalEntryError(f"To be read again: {', '.join(job.reread)}.")
    job.reread = ()


def clock_jump(job: Working, _: Entry) -> None:
    """Count a disagreement of the clocks."""
    job.jumps += 1


def noted(job: Working, entry: Entry) -> None:
    """Keep an open item or a remark."""
    grade, text = entry.body["grade"], entry.body["text"]
    if grade not in _GRADES or not text:
        raise IllegalEntryError(
            f"A note of grade {grade!r} with text {text!r} is none.", "Grades: A, B or none."
        )
    job.notes[entry.seq] = Note(entry.seq, grade, text, entry.by)


def note_closed(job: Working, entry: Entry) -> None:
    """Close an open item."""
    number = entry.body["note"]
    note = job.notes.get(number)
    if note is None or note.closed:
        raise IllegalEntryError(f"There is no open item {number}.")
    job.notes[number] = Note(note.seq, note.grade, note.text, note.by, closed=True)


def closed(job: Working, entry: Entry) -> None:
    """End the job without release."""
    outcome = entry.body["outcome"]
    if not outcome or outcome == "released" or not entry.body.get("reason"):
        raise IllegalEntryError("A job ends without release only with an outcome and a reason.")
    job.outcome = outcome


def _take_in(job: Working, name: str, roles: Iterable[str], person: str) -> None:
    named = frozenset(roles)
    if not name or not named or not named <= _ROLES:
        raise IllegalEntryError(
            f"{name!r} takes part as {', '.join(sorted(named)) or 'nothing'}.",
            f"Roles: {', '.join(sorted(_ROLES))}.",
        )
    if person and {job.ids.setdefault(name, person), *_names_of(job, person)} != {person, name}:
        raise IllegalEntryError(f"{name} is not {person} in this job.")
    job.people[name] = job.people.get(name, frozenset()) | named


def _names_of(job: Working, person: str) -> list[str]:
    return [name for name, known in job.ids.items() if known == person]
