"""Reading fault files: text to faults, with every problem at its place in the file."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from commission.practice.altering import NOW
from commission.practice.faults import Catalogue, DoubleFault, Fault, Joined, LoadedFaults, names
from commission.practice.slots import Kind, Slot, UnknownPathError, slot_at
from commission.procedure import yaml12
from commission.procedure.expression import Expression, ExpressionError, parse, with_choices
from commission.procedure.load import read_text
from commission.procedure.problems import Problem, in_order, nearest, problem
from commission.procedure.refusals import validated

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from importlib.resources.abc import Traversable
    from pathlib import Path as FilePath

    from commission.practice.altering import Change
    from commission.procedure.places import Path, Places

STILL: Final = "still"
"""A name of `met` beside the build's own paths: every change still stands at the release."""
STORED: Final = "stored"
"""`stored.speed_limit`: what the controller holds on the morning after the release."""


@dataclass(slots=True)
class _Read:
    """One file, read."""

    catalogue: Catalogue | None
    places: Places
    problems: list[Problem] = field(default_factory=list)


def read(files: Iterable[FilePath | Traversable], known: Iterable[Fault]) -> LoadedFaults:
    """Return the faults of several files, or everything that is wrong with them."""
    problems: list[Problem] = []
    parts: list[_Read] = []
    for file in files:
        text = read_text(file)
        if isinstance(text, Problem):
            problems.append(text)
            continue
        parts.append(_one(text, str(file)))
    singles: dict[str, Fault] = {}
    taken = set(names(known))
    for part in parts:
        singles |= _singles(part, taken)
    everything = {**names(known), **singles}
    doubles = [each for part in parts for each in _doubles(part, everything, taken)]
    for part in parts:
        problems.extend(part.problems)
    found = () if any(each.is_error for each in problems) else (*singles.values(), *doubles)
    return LoadedFaults(found, in_order(problems))


def _one(text: str, name: str) -> _Read:
    document = yaml12.build(text, name)
    problems, places = document.problems, document.places
    if document.data is None and problems:
        return _Read(None, places, problems)
    catalogue = validated(Catalogue, document.data, places, problems)
    return _Read(catalogue, places, problems)


def _singles(part: _Read, taken: set[str]) -> dict[str, Fault]:
    found: dict[str, Fault] = {}
    for index, fault in enumerate(part.catalogue.faults if part.catalogue else ()):
        way: Path = ("faults", index)
        part.problems.extend(_named(fault.id, way, part.places, taken))
        part.problems.extend(_changes(fault, way, part.places))
        part.problems.extend(_met(fault, way, part.places))
        found[fault.id] = fault
    return found


def _named(name: str, way: Path, places: Places, taken: set[str]) -> Iterator[Problem]:
    if name in taken:
        yield problem(places.at((*way, "id")), "a fault of this name stands already", name)
    taken.add(name)


def _changes(fault: Fault, way: Path, places: Places) -> Iterator[Problem]:
    for path, change in fault.changes.items():
        try:
            slot = slot_at(path)
        except UnknownPathError as error:
            place = places.at((*way, "changes", path), key=True)
            yield problem(place, error.message, path, hint=error.hint)
            continue
        yield from _change(slot, change, (*way, "changes", path), places)


def _change(slot: Slot, change: Change, way: Path, places: Places) -> Iterator[Problem]:
    wants_list = slot.kind in (Kind.NAMES, Kind.PAIR, Kind.SEVERAL)
    if wants_list != isinstance(change, tuple):
        yield problem(places.at(way), "a wrong kind of value", change, slot.words)
        return
    if not isinstance(change, str):
        wrong = slot.kind is Kind.TRUTH and not isinstance(change, bool)
        if wrong or slot.kind is Kind.TEXT:
            yield problem(places.at(way), "a wrong kind of value", change, slot.words)
        return
    try:
        found = with_choices(change, slot.choices)
    except ExpressionError as error:
        place = places.inside(way, change, error.column)
        yield problem(place, error.message, change, hint=error.hint)
        return
    yield from _names(found, change, way, places, (NOW,), slot)


def _met(fault: Fault | DoubleFault, way: Path, places: Places) -> Iterator[Problem]:
    if fault.met is None:
        return
    try:
        found = parse(fault.met)
    except ExpressionError as error:
        place = places.inside((*way, "met"), str(fault.met), error.column)
        yield problem(place, error.message, fault.met, hint=error.hint)
        return
    yield from _names(found, str(fault.met), (*way, "met"), places, (STILL,))


def _names(
    found: Expression, source: str, way: Path, places: Places, beside: tuple[str, ...],
    slot: Slot | None = None,
) -> Iterator[Problem]:  # fmt: skip
    for name in sorted(found.names):
        if name in beside or (slot is None and name.split(".")[0] == STORED):
            continue
        try:
            slot_at(name)
        except UnknownPathError as error:
            hint = error.hint
            if slot is not None and slot.choices:
                hint = nearest(name, slot.choices) or f"There is {', '.join(slot.choices)}."
            elif slot is not None and slot.kind in (Kind.TEXT, Kind.ANY) and name == source:
                hint = f"A text is quoted: \"'{name}'\"."
            yield problem(places.at(way), error.message, source, hint=hint)


def _doubles(part: _Read, known: Mapping[str, Fault], taken: set[str]) -> Iterator[Joined]:
    for index, double in enumerate(part.catalogue.doubles if part.catalogue else ()):
        way: Path = ("doubles", index)
        part.problems.extend(_named(double.id, way, part.places, taken))
        part.problems.extend(_met(double, way, part.places))
        absent = [at for at, name in enumerate(double.both) if name not in known]
        for at in absent:
            place = part.places.at((*way, "both", at))
            hint = nearest(double.both[at], known)
            part.problems.append(problem(place, "no such fault", double.both[at], hint=hint))
        if absent:
            continue
        one, other = (known[name] for name in double.both)
        clash = _clash(one, other)
        if clash:
            place = part.places.at((*way, "both"))
            said = f"both faults change {clash}"
            part.problems.append(problem(place, said, ", ".join(double.both)))
            continue
        yield _joined(double, one, other)


def _clash(one: Fault, other: Fault) -> str:
    shared = (path for path in one.changes if path in other.changes)
    return next((path for path in shared if slot_at(path).kind is not Kind.NAMES), "")


def _joined(double: DoubleFault, one: Fault, other: Fault) -> Joined:
    changes = dict(one.changes)
    for path, change in other.changes.items():
        both = (changes.get(path), change)
        changes[path] = both[0] + both[1] if all(isinstance(x, tuple) for x in both) else change  # type: ignore[operator]
    needs = tuple(dict.fromkeys((*one.needs, *other.needs)))
    said = double.model_dump(exclude={"both"})
    return Joined(**said, parts=(one, other), group=one.group, needs=needs, changes=changes)
