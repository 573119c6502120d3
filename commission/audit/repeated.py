"""What was found of an answer, kept for where the very same stands again: in other jobs.

How an answer is judged follows from the plan, the entry's content and the values that the judgement
looks up. Here the judgement is shown nothing else (whoever looks at more is judged in full each
time), and what it looks up is noted. What was found holds again where the plan and the content are
the same ones in memory (`record.contents` reads equal bytes into one) and every value looked up is
of the same type and equal. The recorded verdict is part of the content: a wrong one is found as
often as it stands.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, cast

from commission.errors import CommissionError
from commission.job.kinds import Look
from commission.job.values import Values, values
from commission.procedure.expression import UnknownValueError, Value

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from commission.job.entry import Entry, Instant
    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.job.working import Working

_MOST: Final = 4096
"""Contents kept, those met last; with what they say some 20 MB."""
_CASES: Final = 8
"""Kept of one content: the values it rested on."""
_MALFORMED = (KeyError, TypeError, AttributeError, ValueError, IndexError)


@dataclass(frozen=True, slots=True)
class _Case:
    looked_up: Mapping[str, tuple[type, Value]]
    """With its type; where there was no value, that of the error, and whose value was missing."""
    said: str


@dataclass(slots=True)
class _Kept:
    entry: Entry
    plan: Plan
    cases: list[_Case] = field(default_factory=list)

    def is_of(self, plan: Plan, entry: Entry) -> bool:
        own = self.entry
        return (
            own.body is entry.body and self.plan is plan
            and own.step == entry.step and own.by == entry.by and own.kind == entry.kind
        )  # fmt: skip


_kept: Final = OrderedDict[int, _Kept]()
"""By the identity of the content, which stays its own while it is kept."""


class _NeedsMoreError(Exception):
    """The judgement looks at more than is kept."""


def said(job: Working, entry: Entry, judge: Callable[[Look], str]) -> str | None:
    """Return what `judge` says of an answer in one piece; None: it needs to see all of the job."""
    stands = job.steps.get(entry.step or "")
    if stands is None or stands.parts or "parts" not in entry.body:
        return None
    known, key = values(job), id(entry.body)
    own = _kept.get(key)
    if own is not None and own.is_of(job.plan, entry):
        _kept.move_to_end(key)
        for case in own.cases:
            if _holds(case, known):
                return case.said
    else:
        own = _kept[key] = _Kept(entry, job.plan)
        if len(_kept) > _MOST:
            _kept.popitem(last=False)
    noted = _Noted(job)
    step = job.plan.planned(entry.step or "").step
    state = cast("JobState", _OnlyPlan(job.plan))
    now = cast("Instant", _Nothing())
    try:
        found = judge(Look(state, step, entry.body["parts"], noted, now, entry.by))
    except _NeedsMoreError:
        return None
    own.cases = [*own.cases[1 - _CASES :], _Case(noted.looked_up, found)]
    return found


def kept() -> int:
    """Return of how many contents something is kept."""
    return len(_kept)


def forget() -> None:
    """Keep nothing any more."""
    _kept.clear()


def _holds(case: _Case, known: Mapping[str, Value]) -> bool:
    try:
        return all(_looked_up(known, name) == was for name, was in case.looked_up.items())
    except (CommissionError, *_MALFORMED):
        return False


def _looked_up(known: Mapping[str, Value], name: str) -> tuple[type, Value]:
    try:
        value = known[name]
    except UnknownValueError as error:
        return UnknownValueError, error.name
    return type(value), value


class _Noted(Values):
    """Values, with a note of each that is looked up."""

    def __init__(self, job: Working) -> None:
        super().__init__(job)
        self._known = values(job)
        self.looked_up: dict[str, tuple[type, Value]] = {}

    def __getitem__(self, name: str) -> Value:
        try:
            kind, value = self.looked_up[name] = _looked_up(self._known, name)
        except (CommissionError, *_MALFORMED) as error:
            raise _NeedsMoreError from error
        if kind is UnknownValueError:
            raise UnknownValueError(str(value))
        return value

    def __iter__(self) -> Iterator[str]:
        raise _NeedsMoreError

    def __len__(self) -> int:
        raise _NeedsMoreError


class _Nothing:
    """What says nothing: whoever asks needs more than is kept."""

    __slots__ = ()

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401  nothing
        raise _NeedsMoreError


class _OnlyPlan(_Nothing):
    """A state that says only its plan."""

    __slots__ = ("plan",)

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
