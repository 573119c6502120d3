"""An answer judged anew: by its procedure, from what was given and what was known at that moment.

`judge.judge_again` takes a judgement's own numbers; this takes none of them, only the readings.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.job.kinds import HANDLERS, Look
from commission.job.values import values

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.judge import Judgement
    from commission.job.state import JobState


def judged_anew(
    state: JobState, entry: Entry, before_piece: JobState, *, in_words: bool = True
) -> Judgement | None:
    """Return how an `answered` or `corrected` entry is judged by this program; None: not whole.

    Args:
        state: the job before the entry.
        entry: legal in that state.
        before_piece: the job before the step's last piece, by which it was judged where that
            piece completed it; of steps in one piece it does not matter.
        in_words: whether it says why; see `Look.in_words`.

    Raises:
        CommissionError: it cannot be judged: something it needs is not known.
    """
    step = state.plan.planned(entry.step or "").step
    handler = HANDLERS[step.kind]
    given = {**state.steps[step.id].parts, **entry.body["parts"]}
    look = Look(state, step, given, values(state), entry.instant, entry.by, in_words)
    if entry.kind == "corrected":
        return handler.conclude(replace(look, parts=entry.body["parts"]))
    if handler.in_pieces:
        part = handler.part(look)
        if not handler.is_kept(part):
            return handler.conclude(look.with_part(part, {"value": True}))
        look = replace(look, state=before_piece, values=values(before_piece))
    return handler.conclude(look)


def judged_by(look: Look) -> Judgement | None:
    """Return how an answer in one piece is judged by what `look` shows.

    Args:
        look: of a `corrected` entry, or of an `answered` one of a step that is not answered in
            pieces; its parts are the entry's.

    Raises:
        CommissionError: it cannot be judged: something it needs is not known.
    """
    return HANDLERS[look.step.kind].conclude(look)
