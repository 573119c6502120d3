"""Where each part of loaded data stands in its file, found again by path when something is wrong.

Kept beside the data, not in it: one entry per mapping or list, by identity. Entries hold on to
their containers, so that no identity is used twice.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, Protocol

from commission.procedure.problems import Place

Path = tuple[str | int, ...]
"""The way to a part of the data: keys and indexes from the root."""


class Mark(Protocol):
    """A place as the YAML parser gives it, counted from 0."""

    @property
    def line(self) -> int:
        """The line."""

    @property
    def column(self) -> int:
        """The column."""


class Source(NamedTuple):
    """A file, and where it was included where it is a fragment."""

    file: str
    included: str = ""


class Entry(NamedTuple):
    """The marks of one container: its own, and those of its keys and values or items."""

    source: Source
    mark: Mark
    container: Any
    keys: dict[str, Mark]
    values: Any


@dataclass(slots=True)
class Places:
    """The places of a whole document."""

    root: Any = None
    source: Source = field(default_factory=lambda: Source("<text>"))
    entries: dict[int, Entry] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    """The text of each file, to count columns inside a value."""

    def of_container(self, container: object) -> Place | None:
        """Return where a mapping or list begins; None where it came from no file."""
        entry = self.entries.get(id(container))
        return None if entry is None else _place(entry.source, entry.mark)

    def of_key(self, container: object, key: str | int) -> Place | None:
        """Return where a key of a mapping stands."""
        entry = self.entries.get(id(container))
        mark = None if entry is None else entry.keys.get(str(key))
        return None if entry is None or mark is None else _place(entry.source, mark)

    def of_value(self, container: Any, key: str | int) -> Place | None:  # noqa: ANN401  any data
        """Return where the value under a key, or the item at an index, begins."""
        try:
            inner = container[key]
        except (KeyError, IndexError, TypeError):
            return None
        if isinstance(inner, dict | list) and (place := self.of_container(inner)):
            return place
        entry = self.entries.get(id(container))
        if entry is None:
            return None
        try:
            return _place(entry.source, entry.values[key])
        except (KeyError, IndexError):
            return _place(entry.source, entry.mark)

    def at(self, path: Path, *, key: bool = False) -> Place:
        """Return the place of the value at a path (or of its key), or the nearest one above it."""
        place = self.of_container(self.root) or Place(self.source.file)
        container = self.root
        for index, part in enumerate(path):
            last = index == len(path) - 1
            found = self.of_key(container, part) if key and last else None
            found = found or self.of_value(container, part)
            if found is None:
                break
            place, container = found, container[part]
        return place

    def under(self, container: Any) -> Places:  # noqa: ANN401  any data
        """Return the same places, for paths that begin at this container."""
        return Places(container, self.source, self.entries, self.texts)

    def inside(self, path: Path, text: str, column: int) -> Place:
        """Return the place of a column (from 1) of a text in one line; else where it begins."""
        place = self.at(path)
        lines = self.texts.get(place.file, "").split("\n", place.line)
        if not column or not 0 < place.line <= len(lines):
            return place
        rest = lines[place.line - 1][place.column - 1 :]
        quote = 1 if rest[:1] in ("'", '"') else 0
        if not rest[quote:].startswith(text):
            return place
        return replace(place, column=place.column + quote + column - 1)

    def copy_entry(self, old: object, new: Any, included: str) -> None:  # noqa: ANN401  any data
        """Give a copy of a container the places of the one it was copied from."""
        entry = self.entries.get(id(old))
        if entry is not None:
            source = Source(entry.source.file, entry.source.included or included)
            self.entries[id(new)] = Entry(source, entry.mark, new, entry.keys, entry.values)


def _place(source: Source, mark: Mark) -> Place:
    return Place(source.file, mark.line + 1, mark.column + 1, source.included)
