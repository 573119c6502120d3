"""What happens beside the steps: people, interruptions, open items, the end without release."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, get_args

from commission.errors import RefusedError
from commission.job.entry import Draft
from commission.job.moves_guard import is_going_on, open_step, takes_part
from commission.job.moves_text import reason_given, said
from commission.procedure.model import Role

if TYPE_CHECKING:
    from commission.job.state import JobState

ROLES: Final[tuple[str, ...]] = get_args(Role)
OUTCOMES: Final = ("abandoned", "handed back unfinished", "replaced by another job")
"""How a job ends without release; each reads on after `The job is`."""
_GRADES: Final = ("A", "B", "")
_LONGEST_NAME: Final = 80


def join(state: JobState, name: str, roles: tuple[str, ...], by: str, person: str = "") -> Draft:
    """Return the draft by which another person takes part; `person` is the id in the register.

    Raises:
        RefusedError: no name, no known role, or nothing new.
    """
    is_going_on(state)
    called = name.strip()
    if not called or len(called) > _LONGEST_NAME or not called.isprintable():
        raise RefusedError(f"{called[:40]!r} is no name.", f"Use 1 to {_LONGEST_NAME} characters.")
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise RefusedError(
            f"Role: {unknown[0] if unknown else 'none'} is not one.", f"Roles: {', '.join(ROLES)}."
        )
    if set(roles) <= state.people.get(called, frozenset()):
        raise RefusedError(f"{called} takes part in that role already.")
    if state.ids and not person:
        raise RefusedError(
            f"{called} is not in the register.", "This job is signed: a lead adds people first."
        )
    body: dict[str, object] = {"name": called, "roles": list(dict.fromkeys(roles))}
    return Draft("joined", by, body={**body, "id": person} if person else body)


def leave(state: JobState, by: str) -> Draft:
    """Return the draft saying that work was left at the open step."""
    is_going_on(state)
    takes_part(state, by)
    if state.away:
        raise RefusedError("Work was left already.")
    return Draft("left", by, *_open(state))


def come_back(state: JobState, by: str) -> Draft:
    """Return the draft saying that work was taken up again, also after an unrecorded break."""
    is_going_on(state)
    takes_part(state, by)
    return Draft("returned", by, *_open(state))


def reread(state: JobState, by: str) -> Draft:
    """Return the draft saying that the last steps were shown again."""
    is_going_on(state)
    takes_part(state, by)
    if not state.reread:
        raise RefusedError("Nothing is to be read again.")
    return Draft("reread", by, body={"steps": list(state.reread)})


def note(state: JobState, text: str, grade: str, by: str) -> Draft:
    """Return the draft of an open item: grade `A`, `B` or empty."""
    is_going_on(state)
    takes_part(state, by)
    level = grade.strip().upper()
    if level not in _GRADES:
        raise RefusedError(
            f"Grade: {grade[:20]!r} is none.", "A blocks release, B may follow, or leave it empty."
        )
    return Draft("noted", by, *_open(state), {"grade": level, "text": said("Note", text)})


def close_note(state: JobState, seq: int, text: str, by: str) -> Draft:
    """Return the draft that closes an open item."""
    is_going_on(state)
    takes_part(state, by)
    one = state.notes.get(seq)
    if one is None or one.closed:
        still = ", ".join(str(number) for number, item in state.notes.items() if not item.closed)
        raise RefusedError(f"There is no open item {seq}.", f"Open: {still or 'none'}.")
    body = {"note": seq, "text": said("What was done", text)}
    return Draft("note_closed", by, body=body)


def abandon(state: JobState, reason: str, by: str, outcome: str = OUTCOMES[0]) -> Draft:
    """Return the draft that ends a job without release, as one of `OUTCOMES`."""
    is_going_on(state)
    takes_part(state, by)
    if outcome not in OUTCOMES:
        raise RefusedError(f"Outcome: {outcome[:40]!r} is none.", f"One of {', '.join(OUTCOMES)}.")
    return Draft("closed", by, body={"outcome": outcome, "reason": reason_given(reason)})


def _open(state: JobState) -> tuple[str | None, int]:
    due = open_step(state)
    return (None, 0) if due is None else (due.id, state.steps[due.id].attempt)
