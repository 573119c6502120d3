"""Answers judged anew while their job is folded: once through the record, not once more after it.

Most answers are the same in one job as in another: the same typed at the same step, by the same
procedure, resting on the same values. `repeated` keeps for a while what was found of them.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from commission.audit import repeated
from commission.audit.revisions import other_revision
from commission.errors import CommissionError
from commission.job.again import judged_anew, judged_by
from commission.job.judge import judge_again
from commission.job.kinds import HANDLERS
from commission.job.working import Working
from commission.record.line import writer

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from commission.job.entry import Entry
    from commission.job.judge import Judgement
    from commission.job.plan import Plan
    from commission.job.state import JobState

_MALFORMED = (KeyError, TypeError, AttributeError, ValueError, IndexError)
_JUDGED: Final = frozenset({"answered", "corrected"})
_CLOSE: Final = 1e-9


class Anew:
    """What differs of a job's answers; `watch` is what `advance.replay` shows each entry."""

    def __init__(self, entries: Sequence[Entry], *, repeats: bool) -> None:
        """Begin before the first of a job's entries.

        Args:
            entries: of the job.
            repeats: whether what was found of the same content before may be said again: of what
                was read from lines, which nobody changes in memory.
        """
        self.differing: list[tuple[Entry, str]] = []
        """Each answer that is not what its readings and the procedure give, and how."""
        self.stopped_by: Exception | None = None
        """Why no more could be judged: an entry of another shape than ours."""
        self._entries = entries
        self._repeats = repeats
        self._place = 0
        self._before: JobState | None = None

    def watch(self, job: Working, entry: Entry) -> None:
        """Judge an entry where it is an answer; `job` is as it stood before it."""
        self._place += 1
        if self.stopped_by is not None:
            return
        try:
            if entry.kind in _JUDGED:
                said = self._said(job, entry)
                if said:
                    self.differing.append((entry, said))
            if self._place < len(self._entries):
                self._keep_before(job, self._entries[self._place])
        except (CommissionError, *_MALFORMED) as error:
            self.stopped_by = error

    def _said(self, job: Working, entry: Entry) -> str:
        if self._repeats and not _in_pieces(job.plan, entry):
            said = repeated.said(
                job,
                entry,
                lambda look: _differs(
                    entry, lambda in_words: judged_by(replace(look, in_words=in_words))
                ),
            )
            if said is not None:
                return said
        state, before = job.frozen(), self._before
        return _differs(
            entry,
            lambda in_words: judged_anew(state, entry, before or state, in_words=in_words),
        )

    def _keep_before(self, job: Working, following: Entry) -> None:
        """What the last piece completes is judged by what was known before that piece."""
        if following.kind == "answered" and _in_pieces(job.plan, following):
            self._before = Working(job.frozen()).frozen()


def _in_pieces(plan: Plan, entry: Entry) -> bool:
    """Whether an answer was given in pieces, which stand in entries of their own."""
    place = plan.index.get(entry.step or "")
    if place is None or entry.kind != "answered":
        return False
    return HANDLERS[plan.steps[place].kind].in_pieces


def _differs(entry: Entry, judge: Callable[[bool], Judgement | None]) -> str:
    """Return in words how an answer is not what `judge` gives; empty where it is.

    `judge` is told whether it has to say why, which is asked only where there is something to say.
    """
    judged = entry.body["judged"]
    said = _difference(entry.body["verdict"], judged, judge) if isinstance(judged, dict) else ""
    return "" if said and _made_by_others(judged) else said


def _difference(
    verdict: str,
    judged: Mapping[str, Any],
    judge: Callable[[bool], Judgement | None],
) -> str:
    try:
        anew = judge(False)  # noqa: FBT003  in words or not
    except (CommissionError, KeyError, TypeError, AttributeError, ValueError) as error:
        return f"It cannot be judged from its readings: {error}"
    if anew is None:
        return "Its readings make no whole answer."
    if anew.verdict != verdict:
        told = judge(True) or anew  # noqa: FBT003
        return f"Recorded is {verdict}; its readings give {anew.verdict}: {told.because}"
    for key in ("checks", "values", "inputs", "seconds"):
        if not alike(anew.judged.get(key), judged.get(key)):
            return f"What it was judged by ({key}) is not what its readings and procedure give."
    return ""


def _made_by_others(judged: Mapping[str, Any]) -> bool:
    """Return whether it was judged by another revision, which `judged-again` tells."""
    try:
        judge_again(judged)
        return bool(other_revision(judged))
    except (ValueError, KeyError, TypeError, AttributeError):
        return True


def alike(fresh: Any, recorded: Any) -> bool:  # noqa: ANN401  of JSON
    """Return whether what was judged anew is what was recorded; mostly to the byte."""
    if fresh is None or recorded is None:
        return fresh is recorded
    written = writer()
    return written(fresh) == written(recorded) or same(json.loads(json.dumps(fresh)), recorded)


def same(one: Any, other: Any) -> bool:  # noqa: ANN401  of JSON
    """Return whether two JSON values are equal, numbers to one part in 10⁹."""
    if one is other:
        return True
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, int | float) and isinstance(other, int | float):
        return one == other or math.isclose(one, other, rel_tol=_CLOSE)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other)
