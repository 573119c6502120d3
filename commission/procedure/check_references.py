"""Checks of what refers to what: ids once, references to things that exist and can have a value."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.procedure import model
from commission.procedure.patterns import fault_of
from commission.procedure.problems import nearest

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from commission.procedure.places import Path
    from commission.procedure.problems import Problem
    from commission.procedure.review import Located, Review


def ids(review: Review) -> Iterator[Problem]:
    """Tell ids that stand twice; facts, settings and steps share one space of names."""
    procedure = review.procedure
    things: list[tuple[Path, str]] = [
        *((("facts", index), each.id) for index, each in enumerate(procedure.facts)),
        *((("settings", index), each.id) for index, each in enumerate(procedure.settings)),
        *((path, step.id) for step, path, *_ in review.steps),
    ]
    yield from _twice(review, things)
    equipment = ((("equipment", index), each.id) for index, each in enumerate(procedure.equipment))
    yield from _twice(review, equipment)
    stages = ((("stages", index), each.id) for index, each in enumerate(procedure.stages))
    yield from _twice(review, stages)
    for step, path, *_ in review.steps:
        inner = {"fields": getattr(step, "fields", ()), "columns": getattr(step, "columns", ())}
        for key, parts in inner.items():
            located = (((*path, key, index), part.id) for index, part in enumerate(parts))
            yield from _twice(review, located)


def _twice(review: Review, things: Iterable[tuple[Path, str]]) -> Iterator[Problem]:
    first: dict[str, Path] = {}
    for path, name in things:
        if name in first:
            place = review.places.at((*first[name], "id"))
            hint = f"First at {place.file}:{place.line}."
            yield review.tell((*path, "id"), "the id stands twice", name, hint=hint)
        first.setdefault(name, path)


def references(review: Review) -> Iterator[Problem]:
    """Tell references to settings, steps and equipment that are not declared."""
    tools = {tool.id: tool for tool in review.procedure.equipment}
    known = {*review.facts, *review.settings, *review.by_id}
    seen = {each.step.id for each in review.steps if isinstance(each.step, model.Observe)}
    for step, path, *_ in review.steps:
        if step.instrument is not None and step.instrument not in tools:
            hint = nearest(step.instrument, tools)
            told = "no such equipment"
            yield review.tell((*path, "instrument"), told, step.instrument, hint=hint)
        yield from _unknown(review, (*path, "rests_on"), step.rests_on, known, "name")
        listed = getattr(step, "settings", ())
        if not isinstance(listed, str):
            settings = review.settings
            yield from _unknown(review, (*path, "settings"), listed, settings, "setting")
        if isinstance(step, model.PowerCycle):
            yield from _unknown(review, (*path, "observe"), step.observe, seen, "observation")


def _unknown(
    review: Review, path: Path, names: Iterable[str], known: Collection[str], what: str
) -> Iterator[Problem]:
    for index, name in enumerate(names):
        if name not in known:
            hint = nearest(name, sorted(known))
            yield review.tell((*path, index), f"no such {what}", name, hint=hint)


def values(review: Review) -> Iterator[Problem]:
    """Tell facts and settings whose parts do not fit their type."""
    procedure = review.procedure
    for key, things in (("facts", procedure.facts), ("settings", procedure.settings)):
        for index, thing in enumerate(things):
            yield from _valued(review, (key, index), thing)


def _valued(review: Review, path: Path, thing: model.Valued) -> Iterator[Problem]:
    is_number = thing.type in ("quantity", "integer")
    if thing.type == "quantity" and thing.unit is None:
        hint = 'Add the unit; "1" for a plain number.'
        yield review.tell(path, "a quantity without a unit", thing.id, hint=hint)
    if thing.type == "choice" and len(thing.choices) < 2:  # noqa: PLR2004  one is no choice
        yield review.tell(path, "a choice of fewer than two", thing.id, "choices: [a, b]")
    misplaced = (
        ("unit", thing.unit is not None and not is_number),
        ("range", thing.range is not None and not is_number),
        ("choices", bool(thing.choices) and thing.type != "choice"),
        ("equal_within", getattr(thing, "equal_within", None) is not None and not is_number),
        ("circular", getattr(thing, "circular", False) and thing.type != "quantity"),
    )
    for key, wrong in misplaced:
        if wrong:
            yield review.tell((*path, key), f"{key} has no meaning for {thing.type}")


def choices(review: Review) -> Iterator[Problem]:
    """Tell options that stand twice, good ones that are no option, and unsafe patterns."""
    for step, path, *_ in review.steps:
        if isinstance(step, model.Choose | model.Observe):
            yield from _repeated(review, (*path, "options"), step.options)
        if isinstance(step, model.Choose):
            yield from _unknown(review, (*path, "good"), step.good, step.options, "option")
        if isinstance(step, model.Identify):
            for index, mark in enumerate(step.fields):
                fault = fault_of(mark.pattern) if mark.pattern is not None else ""
                if fault:
                    where = (*path, "fields", index, "pattern")
                    yield review.tell(
                        where, "a pattern that cannot be used", mark.pattern, "", fault
                    )
    for key, things in (("facts", review.procedure.facts), ("settings", review.procedure.settings)):
        for index, thing in enumerate(things):
            yield from _repeated(review, (key, index, "choices"), thing.choices)


def _repeated(review: Review, path: Path, texts: tuple[str, ...]) -> Iterator[Problem]:
    for index, text in enumerate(texts):
        if text in texts[:index]:
            yield review.tell((*path, index), "the same text twice", text)


def limits(review: Review) -> Iterator[Problem]:
    """Tell limits where nothing is measured, and half-written ones."""
    for step, path, *_ in review.steps:
        bounds = step.limits
        if bounds is None:
            continue
        where = (*path, "limits")
        if not isinstance(step, model.Measure | model.Calculate):
            kind = getattr(step, "kind", "")
            yield review.tell(where, f"limits have no meaning for {kind}")
        if (bounds.target is None) != (bounds.tolerance is None):
            hint = "A target and its tolerance belong together."
            yield review.tell(where, "a target without a tolerance, or the reverse", hint=hint)
        if isinstance(step, model.Measure) and bounds.is_ is not None:
            hint = "Write min, max or target."
            yield review.tell((*where, "is"), "a reading is a number", bounds.is_, hint=hint)
        if bounds.min is bounds.max is bounds.target is bounds.is_ is None:
            yield review.tell(where, "limits without a limit", hint="Give min, max, target or is.")


def order(review: Review) -> Iterator[Problem]:
    """Tell names that a step uses before they can have a value."""
    first = _first_known(review)
    for want in review.wants:
        if want.path[0] not in ("stages", "facts"):
            continue
        expression = review.parsed(want.source, want.choices)
        if expression is None:
            continue
        for name in sorted(expression.names & first.keys()):
            if told := _too_early(review, want.path, name, first[name]):
                yield told
    for located in review.steps:
        for index, name in enumerate(located.step.rests_on):
            later = review.by_id.get(name)
            if later is not None and later.order >= located.order:
                where = (*located.path, "rests_on", index)
                yield review.tell(where, "rests on a step that comes later", name)
        yield from _intended_too_early(review, located, first)


def _first_known(review: Review) -> dict[str, Located | None]:
    """Return the step after which each name has a value; None for one that never has."""
    first: dict[str, Located | None] = {}
    for name in review.names:
        owner, _, part = name.partition(".")
        if owner in review.by_id:
            first[name] = review.by_id[owner]
        elif owner in review.settings and part != "intended":
            first[name] = _first_of_setting(review, owner, part)
    return first


def _first_of_setting(review: Review, setting: str, part: str) -> Located | None:
    kinds: dict[str, type[model.StepBase]] = {
        "found": model.ReadBack, "written": model.Write, "left": model.PowerCycle,
    }  # fmt: skip
    for located in review.steps:
        step = located.step
        if isinstance(step, kinds[part]):
            listed = getattr(step, "settings", ())
            if isinstance(listed, str) or setting in listed:
                return located
    return None


def _too_early(review: Review, path: Path, name: str, known: Located | None) -> Problem | None:
    if known is None:
        return review.tell(path, "a name that never gets a value", name)
    user = review.step_at(path)
    if user is None:
        return review.tell(path, "a fact that rests on a later step", name)
    if known.order >= user.order and user.remedy_of != known.step.id:
        hint = f"The step {known.step.id} comes later." if user is not known else "It is its own."
        return review.tell(path, "a name used before it has a value", name, hint=hint)
    if known.remedy_of not in ("", user.remedy_of, user.step.id):
        return review.warn(path, "a value of a remedy step, which may never be done", name)
    return None


def _intended_too_early(
    review: Review, located: Located, first: dict[str, Located | None]
) -> Iterator[Problem]:
    """Tell settings written before what their intended value rests on is known."""
    step = located.step
    if not isinstance(step, model.Write):
        return
    for index, name in enumerate(step.settings):
        setting = review.settings.get(name)
        if setting is None:
            continue
        where = (*located.path, "settings", index)
        if setting.intended is None:
            yield review.tell(where, "written without an intended value", name)
            continue
        for used in sorted(_rests_on(review, setting, frozenset())):
            known = first.get(used)
            if known is not None and known.order >= located.order != known.order:
                told = f"written before {used} is known, which its intended value rests on"
                yield review.tell(where, told, name)


def _rests_on(review: Review, setting: model.Setting, seen: frozenset[str]) -> frozenset[str]:
    """Return the names that an intended value rests on, through other intended values."""
    expression = review.parsed(setting.intended, setting.choices)
    names = expression.names if expression is not None else frozenset()
    result = names
    for name in names:
        owner, _, part = name.partition(".")
        if part == "intended" and owner in review.settings and owner not in seen:
            result |= _rests_on(review, review.settings[owner], seen | {setting.id})
    return result


def circles(review: Review) -> Iterator[Problem]:
    """Tell intended values that rest on themselves."""
    for index, setting in enumerate(review.procedure.settings):
        if f"{setting.id}.intended" in _rests_on(review, setting, frozenset()):
            path = ("settings", index, "intended")
            yield review.tell(path, "an intended value that rests on itself", setting.intended)
