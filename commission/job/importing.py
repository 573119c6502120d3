"""Settings out of a file or the clipboard: `name,value[,unit]` lines or JSON, onto what is asked.

Nothing here counts as given: the result is a preview, with what is wrong by line number. Values
stay as written (`84.0` keeps its zero); whether they are acceptable is for `moves.submit`.

Accepted:
1. Lines `name,value` or `name,value,unit`; a tab or a semicolon may stand for the comma. Empty
   lines, lines that start with `#` and a first line `name,value…` are passed over.
2. A JSON object `{"name": value}`, or a list of `{"name": …, "value": …, "unit": …}`.
"""

from __future__ import annotations

import csv
import difflib
import json
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from commission.job.ask import Ask

MOST_CHARACTERS: Final = 1_000_000
_WORDS: Final = {True: "yes", False: "no"}


@dataclass(frozen=True, slots=True)
class Taken:
    """One value that belongs to something asked; `text` is what typing it would have been."""

    line: int
    ask: Ask
    text: str


@dataclass(frozen=True, slots=True)
class ImportFault:
    """One thing that cannot be taken over, and how to mend it."""

    line: int
    message: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.message}"


@dataclass(frozen=True, slots=True)
class Imported:
    """What was found: values in file order, faults in file order."""

    taken: tuple[Taken, ...] = ()
    faults: tuple[ImportFault, ...] = ()
    missing: tuple[Ask, ...] = ()
    """What is asked and has no value here."""

    @property
    def given(self) -> dict[str, str]:
        """What typing all of it would give."""
        return {taken.ask.name: taken.text for taken in self.taken}


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    name: str
    value: str
    unit: str


class _RowError(ValueError):
    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.fault = ImportFault(line, message)


def read_settings(text: str, asks: Sequence[Ask]) -> Imported:
    """Return the values in `text` for `asks`, matched by id or label, with every fault.

    A name given twice is a fault and keeps its first value. Never raises.
    """
    if len(text) > MOST_CHARACTERS:
        return Imported(faults=(ImportFault(1, "The text is too long for a settings list."),))
    rows: list[_Row] = []
    faults: list[ImportFault] = []
    source = _json_rows(text) if text.lstrip()[:1] in {"{", "["} else _line_rows(text)
    for row in source:
        if isinstance(row, _Row):
            rows.append(row)
        else:
            faults.append(row)
    return _matched(rows, faults, asks)


def _matched(rows: Iterable[_Row], faults: list[ImportFault], asks: Sequence[Ask]) -> Imported:
    known = {ask.label.casefold(): ask for ask in asks} | {ask.name: ask for ask in asks}
    taken: dict[str, Taken] = {}
    for row in rows:
        ask = known.get(row.name) or known.get(row.name.casefold())
        if ask is None:
            faults.append(ImportFault(row.line, _unknown(row.name, known)))
        elif ask.name in taken:
            first = taken[ask.name].line
            faults.append(ImportFault(row.line, f"{row.name!r} already stands in line {first}."))
        else:
            typed = f"{row.value} {row.unit}".strip()
            taken[ask.name] = Taken(row.line, ask, typed)
    missing = tuple(ask for ask in asks if ask.name not in taken)
    ordered = tuple(sorted(faults, key=lambda fault: fault.line))
    return Imported(tuple(taken.values()), ordered, missing)


def _unknown(name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name.casefold(), list(known), n=1, cutoff=0.6)
    hint = f" Did you mean {near[0]!r}?" if near else ""
    return f"{name[:40]!r} is no setting asked for here.{hint}"


def _line_rows(text: str) -> Iterator[_Row | ImportFault]:
    first = True
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        try:
            row = _line_row(number, line)
        except _RowError as error:
            yield error.fault
        else:
            if not (first and row.name.casefold() == "name"):
                yield row
        first = False


def _line_row(number: int, line: str) -> _Row:
    delimiter = next((mark for mark in "\t;" if mark in line), ",")
    try:
        (cells,) = csv.reader([line], delimiter=delimiter, strict=True, skipinitialspace=True)
    except csv.Error as error:
        raise _RowError(number, f"{error}; write name,value,unit.") from error
    match [cell.strip() for cell in cells]:
        case [name, value] | [name, value, ""]:
            unit = ""
        case [name, value, unit]:
            pass
        case [_]:
            raise _RowError(number, "the line has no value; write name,value or name,value,unit.")
        case many:
            raise _RowError(number, f"the line has {len(many)} columns; write name,value,unit.")
    if not name:
        raise _RowError(number, "the name is empty; write name,value or name,value,unit.")
    if not value:
        raise _RowError(number, f"{name[:40]!r} has an empty value.")
    if re.fullmatch(r"[+-]?\d+", value) and re.fullmatch(r"\d+", unit):
        raise _RowError(number, f"{value},{unit} looks like a decimal comma; write {value}.{unit}.")
    return _Row(number, name, value, unit)


def _json_rows(text: str) -> Iterator[_Row | ImportFault]:
    try:
        found = json.loads(
            text, parse_float=str, parse_int=str, parse_constant=str, object_pairs_hook=tuple
        )
    except json.JSONDecodeError as error:
        yield ImportFault(error.lineno, f"not JSON: {error.msg} (column {error.colno}).")
        return
    except RecursionError:
        yield ImportFault(1, "the JSON is nested too deeply for a settings list.")
        return
    lines = _LineFinder(text)
    if isinstance(found, tuple):
        for name, value in found:
            yield _json_row(lines.of(name), name, value, "")
        return
    for item in found if isinstance(found, list) else [found]:
        yield _json_item(item, lines)


def _json_item(item: object, lines: _LineFinder) -> _Row | ImportFault:
    members = dict(item) if isinstance(item, tuple) and item else {}
    name, unit = members.get("name"), members.get("unit", "")
    if not isinstance(name, str) or "value" not in members or not isinstance(unit, str | None):
        return ImportFault(lines.last, 'each item is {"name": …, "value": …, "unit": …}.')
    return _json_row(lines.of(name), name, members["value"], unit or "")


def _json_row(line: int, name: str, value: object, unit: str) -> _Row | ImportFault:
    if isinstance(value, bool):
        return _Row(line, name, _WORDS[value], unit)
    if isinstance(value, str) and value.strip():
        return _Row(line, name, value.strip(), unit)
    return ImportFault(line, f"{name[:40]!r} needs a number, a text or true/false as its value.")


class _LineFinder:
    """Where names stand in a JSON text, found in order: the parser does not say."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self.last = 1

    def of(self, name: str) -> int:
        place = self._text.find(json.dumps(name, ensure_ascii=False), self._at)
        if place >= 0:
            self._at = place + 1
            self.last = self._text.count("\n", 0, place) + 1
        return self.last
