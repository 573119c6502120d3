"""Controller sheets: a workshop's own notes on one controller family, loaded like procedures."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from commission.procedure import model, yaml12
from commission.procedure.load import read_text
from commission.procedure.names import type_of_valued
from commission.procedure.problems import Problem, in_order, nearest, problem
from commission.procedure.refusals import validated
from commission.procedure.value_types import ExpressionError, Number, dimension_words

if TYPE_CHECKING:
    from collections.abc import Iterator
    from importlib.resources.abc import Traversable

    from commission.procedure.places import Places


@dataclass(frozen=True, slots=True)
class LoadedSheet:
    """What a file came to; `sheet` is None where there are errors."""

    sheet: model.ControllerSheet | None
    problems: tuple[Problem, ...]


def load_sheet(
    path: str | Path | Traversable, procedure: model.Procedure | None = None
) -> LoadedSheet:
    """Return a controller sheet; with a procedure, checked against the settings it declares."""
    file = Path(path) if isinstance(path, str) else path
    text = read_text(file)
    if isinstance(text, Problem):
        return LoadedSheet(None, (text,))
    return loads_sheet(text, str(file), procedure)


def loads_sheet(
    text: str, name: str = "<text>", procedure: model.Procedure | None = None
) -> LoadedSheet:
    """Return the controller sheet a text holds, or what is wrong with it."""
    document = yaml12.build(text, name)
    problems = document.problems
    if document.data is None and problems:
        return LoadedSheet(None, in_order(problems))
    sheet = validated(model.ControllerSheet, document.data, document.places, problems)
    if sheet is not None:
        problems.extend(_checked(sheet, document.places, procedure))
    if any(each.is_error for each in problems):
        sheet = None
    return LoadedSheet(sheet, in_order(problems))


def _checked(
    sheet: model.ControllerSheet, places: Places, procedure: model.Procedure | None
) -> Iterator[Problem]:
    known = None if procedure is None else {each.id: each for each in procedure.settings}
    seen: set[str] = set()
    for index, entry in enumerate(sheet.settings):
        path = ("settings", index)
        where = places.at((*path, "setting"))
        if entry.setting in seen:
            yield problem(where, "the setting stands twice", entry.setting)
        seen.add(entry.setting)
        if known is not None and entry.setting not in known:
            yield problem(
                where, "the procedure has no such setting", entry.setting,
                hint=nearest(entry.setting, known),
            ).as_warning()  # fmt: skip
        setting = None if known is None else known.get(entry.setting)
        yield from _range(entry, (*path, "range"), places, setting)
    for index, fault in enumerate(sheet.faults):
        for place, name in enumerate(fault.settings):
            if name not in seen:
                where = places.at(("faults", index, "settings", place))
                hint = nearest(name, seen)
                yield problem(
                    where, "a fault of a setting the sheet does not list", name, hint=hint
                )


def _range(
    entry: model.SheetSetting, path: tuple[str | int, ...], places: Places,
    setting: model.Setting | None,
) -> Iterator[Problem]:  # fmt: skip
    from commission.procedure.expression import parse

    for index, source in enumerate(entry.range or ()):
        where = (*path, index)
        try:
            found = parse(source).type_in({})
        except ExpressionError as error:
            place = places.inside(where, str(source), error.column)
            yield problem(place, error.message, source, hint=error.hint)
            continue
        wanted = None if setting is None else type_of_valued(setting)
        if isinstance(found, Number) and isinstance(wanted, Number):
            if found.dimension != wanted.dimension:
                expected = dimension_words(wanted.dimension)
                yield problem(places.at(where), f"gives {found}", source, expected)
        elif not isinstance(found, Number):
            yield problem(places.at(where), f"gives {found}", source, "a number")
