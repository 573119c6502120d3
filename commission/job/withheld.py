"""A job as an independent witness may see it, who has yet to read for himself. Pure.

While such a hold waits, nothing on any face says the first reading or what follows from it: not
the record, the ledger, the cross-checks, notes made since, or a sheet. Where none waits, all is
as it is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.errors import RefusedError
from commission.job.witnessing import KEPT, kept_from_witness

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.entry import Entry
    from commission.job.state import JobState


def as_witness_sees(state: JobState) -> JobState:
    """Return a job without the reading that waits for its witness, and without what rests on it.

    It is to be looked at only: its names have no value, as before the reading was taken.
    """
    step = kept_from_witness(state)
    if not step:
        return state
    since, kept = _since(state, step), _resting_on(state, step)
    steps = {
        name: replace(stands, answer=None, reason="", due=None) if name in kept else stands
        for name, stands in state.steps.items()
    }
    notes = {
        seq: replace(note, text=KEPT) if seq > since else note for seq, note in state.notes.items()
    }
    return replace(state, steps=steps, notes=notes)


def entries_as_witness_sees(state: JobState, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return entries, without what those say that rest on a reading that waits for its witness.

    Notes since the reading are among them: people write there what they have read.
    """
    step = kept_from_witness(state)
    if not step:
        return tuple(entries)
    since, kept = _since(state, step), _resting_on(state, step)
    return tuple(
        _emptied(one) if one.step in kept or (one.kind in _TOLD and one.seq > since) else one
        for one in entries
    )


def refuse_while_withheld(state: JobState) -> None:
    """Refuse what would say all of a job while an independent witness has yet to read.

    Raises:
        RefusedError: one has; says which step waits for it.
    """
    step = kept_from_witness(state)
    if step:
        title = state.plan.planned(step).step.title
        raise RefusedError(
            f"“{title}” waits for a witness, who must not know the first reading: nothing that"
            " says it is written now.",
            "Have the witness read first, then write it.",
        )


_TOLD = ("noted", "note_closed", "instrument_conceded")


def _since(state: JobState, step: str) -> int:
    answer = state.steps[step].answer
    return 0 if answer is None else answer.seq


def _resting_on(state: JobState, step: str) -> frozenset[str]:
    """Return a step and all nodes that depend on it, however far."""
    found, waiting = {step}, [step]
    while waiting:
        after = set(state.plan.dependents.get(waiting.pop(), ())) - found
        found |= after
        waiting += after
    return frozenset(found)


def _emptied(entry: Entry) -> Entry:
    text = {"text": KEPT, "grade": entry.body.get("grade", "")} if entry.kind == "noted" else {}
    return replace(entry, body=text)
