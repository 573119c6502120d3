"""Checks of the way a job takes: settings proved, steps reachable, holds by somebody else."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Final

from commission.procedure import evaluation, model, tree
from commission.procedure.value_types import ExpressionError, Text, Truth, UnknownValueError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.procedure.problems import Problem
    from commission.procedure.review import Located, Review
    from commission.procedure.value_types import Value

_MOST_CASES: Final = 4096
_EITHER: Final = frozenset({True, False})


def read_before_written(review: Review) -> Iterator[Problem]:
    """Tell settings that are written though nobody has read them as found before."""
    found: set[str] = set()
    for located in review.steps:
        step = located.step
        if isinstance(step, model.ReadBack):
            found |= set(review.settings) if isinstance(step.settings, str) else set(step.settings)
        if isinstance(step, model.Write):
            for index, name in enumerate(step.settings):
                if name in review.settings and name not in found:
                    yield review.tell(
                        (*located.path, "settings", index),
                        "written but never read back as found before", name,
                        hint="Put a read_back of it before this step.",
                    )  # fmt: skip


def proved_after_written(review: Review) -> Iterator[Problem]:
    """Tell settings that are written and not read back after a later power cycle."""
    cycles = [each for each in review.steps if isinstance(each.step, model.PowerCycle)]
    told: set[str] = set()
    for located in reversed(review.steps):
        step = located.step
        if not isinstance(step, model.Write):
            continue
        for index, name in enumerate(step.settings):
            covered = any(_covers(cycle, name) for cycle in cycles if cycle.order > located.order)
            if not covered and name not in told:
                told.add(name)
                yield review.tell(
                    (*located.path, "settings", index),
                    "written but not covered by a later power_cycle", name,
                    hint="Add a power_cycle after it.",
                )  # fmt: skip


def _covers(cycle: Located, setting: str) -> bool:
    listed = getattr(cycle.step, "settings", ())
    return isinstance(listed, str) or setting in listed


def after_release(review: Review) -> Iterator[Problem]:
    """Warn of steps after the release, which ends the job: nobody will do them."""
    released = ""
    for step, path, _, remedy_of in review.steps:
        if remedy_of:
            continue
        if released:
            told = f"comes after {released}, which releases the bike and ends the job"
            hint = "Put it before, or skip the release by `when`."
            yield review.warn((*path, "id"), told, step.id, hint=hint)
            return
        if isinstance(step, model.SignOff) and step.meaning == "released" and step.when is None:
            released = step.id


def unused_settings(review: Review) -> Iterator[Problem]:
    """Warn of settings that no step reads or writes."""
    used: set[str] = set()
    for step, *_ in review.steps:
        listed = getattr(step, "settings", ())
        if listed == "all":
            return
        used.update(() if isinstance(listed, str) else listed)
    for index, setting in enumerate(review.procedure.settings):
        if setting.id not in used:
            path = ("settings", index, "id")
            yield review.warn(path, "a setting that no step reads or writes", setting.id)


_READ_AGAIN: Final = ("measure", "observe", "choose")
"""Kinds of one reading, which another person can take again."""


def _witness(
    review: Review, step: model.StepBase, path: tuple[str | int, ...]
) -> Iterator[Problem]:
    how, kind = step.witness, str(getattr(step, "kind", ""))
    if how is None:
        return
    where = (*path, "witness")
    if step.hold is None:
        hint = "Say hold: witness or hold: lead."
        yield review.tell(where, "a witness without a hold", step.id, hint=hint)
    if how.independent and kind not in _READ_AGAIN:
        hint = f"It takes one reading: {', '.join(_READ_AGAIN)}."
        yield review.tell((*where, "independent"), "nothing to read again", kind, hint=hint)
    if how.independent and kind == "measure" and how.within is None:
        hint = 'Add within: "0.2[V]", or as a share: "2[%]".'
        yield review.tell(where, "two readings without saying how near", step.id, hint=hint)
    if how.within is not None and not (how.independent and kind == "measure"):
        yield review.tell((*where, "within"), "compared with nothing", how.within)


def holds(review: Review) -> Iterator[Problem]:
    """Tell holds and concessions that the doer of the step could give to himself."""
    for step, path, *_ in review.steps:
        if isinstance(step, model.SignOff) and step.hold == step.role:
            hint = "Another role holds, or none."
            yield review.tell((*path, "hold"), "held by the role that signs", step.hold, hint=hint)
        yield from _witness(review, step, path)
        fail = step.on_fail
        if fail and fail.then == "concession" and fail.concession_by == "technician":
            hint = "A lead concedes."
            where = (*path, "on_fail", "concession_by")
            yield review.tell(where, "conceded by the role that did it", "technician", hint=hint)


def cold_cycles(review: Review) -> Iterator[Problem]:
    """Tell cold cycles whose discharge is not proved by a voltage."""
    for step, path, *_ in review.steps:
        if not isinstance(step, model.PowerCycle):
            continue
        if step.cycle == "cold" and step.below is None:
            hint = "Add below: the bus voltage under which it counts as cold."
            yield review.tell(path, "a cold cycle without a voltage threshold", step.id, hint=hint)
        if step.cycle == "key" and step.below is not None:
            where = (*path, "below")
            yield review.tell(where, "a voltage threshold on a key cycle", step.below)


def reachable(review: Review) -> Iterator[Problem]:
    """Tell conditions that can never be true; warn of those that always are."""
    for step, path, *_ in review.steps:
        expression = review.parsed(step.when)
        if expression is None:
            continue
        try:
            expression.type_in(review.names)
        except ExpressionError:
            continue
        possible = _possible(expression.tree, review)
        where = (*path, "when")
        if possible == {False}:
            yield review.tell(where, "never true: the step is unreachable", step.when)
        elif possible == {True}:
            yield review.warn(where, "always true: a condition that decides nothing", step.when)


def _possible(node: tree.Node, review: Review) -> frozenset[bool]:
    """Return the truths a condition can have over all choices there are."""
    finite: dict[str, tuple[Value, ...]] = {}
    for part in tree.walk(node):
        if isinstance(part, tree.Name):
            kind = review.names.get(part.name)
            if isinstance(kind, Text) and kind.choices:
                finite[part.name] = kind.choices
            elif isinstance(kind, Truth):
                finite[part.name] = (True, False)
    cases = 1
    for values in finite.values():
        cases *= len(values)
    if cases > _MOST_CASES:
        return _EITHER
    found: frozenset[bool] = frozenset()
    for case in itertools.product(*finite.values()):
        found |= _truths(node, dict(zip(finite, case, strict=True)))
        if found == _EITHER:
            break
    return found


def _truths(node: tree.Node, known: Mapping[str, Value]) -> frozenset[bool]:
    """Return the truths a condition can have where only some names are known."""
    match node:
        case tree.Not():
            return frozenset(not each for each in _truths(node.operand, known))
        case tree.Logic():
            parts = [_truths(operand, known) for operand in node.operands]
            decides = node.word == "or"
            if any(part == {decides} for part in parts):
                return frozenset({decides})
            return _EITHER if any(decides in part for part in parts) else frozenset({not decides})
    try:
        value = evaluation.guarded(evaluation.function_of(node), known)
    except (UnknownValueError, ExpressionError):
        return _EITHER
    return frozenset({bool(value)})
