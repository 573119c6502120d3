"""Due again: what was concluded on something since changed has to be done again.

The change travels along the plan's edges from the changed step, breadth first, so that each step
is told the shortest way. It stops at steps that conclude nothing yet.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from commission.job import failing, step_changes
from commission.job.closeness import value_of
from commission.job.edges import SETTING
from commission.job.state import Due, Status

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.state import Answer, Given, Parts
    from commission.job.working import Working

_CONCLUDED = frozenset({Status.PASSED, Status.MARGINAL, Status.HOLD, Status.CONCEDED})


def changed(job: Working, step: str, seq: int, what: str) -> None:
    """Make due again whatever rests on `step`, whose value changed in entry `seq`."""
    first = [(node, (step,)) for node in job.plan.dependents.get(step, ())]
    _spread(job, step, first, seq, what)


def written(job: Working, step: str, parts: Parts, seq: int) -> None:
    """Make due again whatever rests on what the settings held before `step` wrote them.

    This follows when the writing step is concluded, in entry `seq`: until then it is itself the
    step to do, and nothing can go on past it.
    """
    first = [
        (reader, (name,))
        for cells in parts.values()
        for name in cells
        for reader in job.plan.readers.get(name, ())
    ]
    _spread(job, step, first, seq, "written again")


def differs(old: Answer, new: Answer) -> bool:
    """Return whether a later answer says another thing than an earlier one.

    Numbers are compared as values: 84.0 V and 84.00 V and 84000 mV are the same.
    """
    if old.judged.get("values") != new.judged.get("values"):
        return True
    if old.parts == new.parts:
        return False
    return _values(old.parts) != _values(new.parts)


def _values(parts: Parts) -> dict[tuple[str, str], object]:
    return {
        (part, name): _value(given)
        for part, cells in parts.items()
        for name, given in cells.items()
    }


def _value(given: Given) -> object:
    if given is None or (isinstance(given, dict) and "typed" not in given):
        return given
    return value_of(given)


def _spread(
    job: Working, origin: str, first: Iterable[tuple[str, tuple[str, ...]]], seq: int, what: str
) -> None:
    waiting = deque((node, origin, chain) for node, chain in first)
    if not waiting:
        return
    seen = {origin}
    plan = job.plan
    while waiting:
        node, via, chain = waiting.popleft()
        if node in seen:
            continue
        if node.startswith(SETTING):
            name = node.removeprefix(SETTING)
        else:
            if not _reaches(job, node, via):
                continue
            name = node
            _mark(job, node, origin, Due(seq, chain, what))
        seen.add(node)
        longer = (*chain, name)
        waiting.extend((after, node, longer) for after in plan.dependents.get(node, ()))


def _reaches(job: Working, step: str, via: str) -> bool:
    """Return whether a change at `via` matters to how `step` was concluded."""
    stands = job.steps[step]
    if stands.status is Status.NOT_APPLICABLE:
        return via in job.plan.conditions[step]
    if stands.answer is None or stands.status in (Status.TODO, Status.DORMANT):
        return False
    carried = job.plan.carries.get(via)
    if carried is None or job.plan.planned(step).step.kind != "power_cycle":
        return True
    return any(
        not carried.isdisjoint(cells)
        for part, cells in stands.answer.parts.items()
        if ":read-" in part
    )


def _mark(job: Working, step: str, origin: str, due: Due) -> None:
    stands = job.steps[step]
    if stands.status is Status.FAILED:
        if due.what == "written again" or _is_remedy_of(job, origin, step):
            return
        failing.call_off_remedies(job, step)
    elif stands.status not in _CONCLUDED and stands.status is not Status.NOT_APPLICABLE:
        return
    job.steps[step] = step_changes.due_again(stands, due)
    job.go_back(step)


def _is_remedy_of(job: Working, origin: str, step: str) -> bool:
    parent = job.plan.planned(origin).remedy_of
    return parent is not None and (parent == step or _is_remedy_of(job, parent, step))
