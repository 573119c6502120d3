"""Somebody new to a job who joins it with what is asked of him: one record, or none. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from commission.errors import RefusedError
from commission.job.advance import advance
from commission.job.entry import GENESIS, Clock, Entry
from commission.job.moves_aside import join

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.job.entry import Draft
    from commission.job.state import JobState


@dataclass(frozen=True, slots=True)
class Joining:
    """A person, and what is to be recorded before the person's own entry."""

    name: str
    drafts: tuple[Draft, ...]
    """Empty where the person takes part so already."""
    state: JobState
    """The job with the person in it, in which the person's own move is made."""


class Taking(Protocol):
    """What knows a job and, where people are registered, who in the register is meant."""

    @property
    def state(self) -> JobState:
        """The job as it stands."""
        ...

    def taking_part(self, name: str, role: str, by: str, /) -> tuple[str, tuple[Draft, ...]]:
        """See `record.session.Session.taking_part`."""
        ...


def people_with(state: JobState, role: str) -> tuple[str, ...]:
    """Return who takes part with `role`, by name."""
    return tuple(sorted(name for name, roles in state.people.items() if role in roles))


def as_person(session: Taking, name: str, role: str, by: str) -> Joining:
    """Return the person of that name with `role`; one who is new to the job is to join it with it.

    Nothing is recorded yet: the joining goes with what the person does, or not at all. A name that
    differs from a known one by case or spaces is that person.

    Raises:
        RefusedError: the person takes part without that role: nobody gets a role by needing it.
            Where people are registered, the register says who has it.
    """
    state = session.state
    if state.ids:
        return joining(state, *session.taking_part(name, role, by))
    wanted = " ".join(name.split())
    known = next((one for one in state.people if one.casefold() == wanted.casefold()), "")
    if not known:
        return joining(state, wanted, (join(state, wanted, (role,), by),))
    if role not in state.people[known]:
        able = ", ".join(people_with(state, role)) or "nobody yet"
        raise RefusedError(f"{known} is no {role}.", f"With this role: {able}.")
    return joining(state, known)


def joining(state: JobState, name: str, drafts: Sequence[Draft] = ()) -> Joining:
    """Return who joins a job by `drafts`, none of which is recorded yet.

    A move that is refused in the state returned leaves the person out of the record too.

    Raises:
        IllegalEntryError: the job does not take the person in.
    """
    after, clock = state, state.clock or Clock("", 0)
    for draft in drafts:
        entry = Entry(
            "", after.seq + 1, state.at, clock, "", draft.by, draft.kind,
            draft.step, draft.attempt, draft.body, GENESIS,
        )  # fmt: skip
        after = advance(after, entry)
    return Joining(name, tuple(drafts), after)
