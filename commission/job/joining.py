"""Somebody new to a job who joins it with what is asked of him: one record, or none. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.job.advance import advance
from commission.job.entry import GENESIS, Clock, Entry

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
