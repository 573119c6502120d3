"""YAML text to plain data, by the YAML 1.2 core schema, with bounds and places.

The C parser gives events; this module builds from them without recursion. Rules:
1. Plain scalars follow the core schema of YAML 1.2.2, 10.3.2: `off`, `no`, `1:30` and `2024-01-01`
   are text, `010` is the whole number ten, `0o17` and `0x1F` are whole numbers, `~` is nothing.
2. Keys are text and stand once. Tags and merge keys are refused; numbers are finite.
3. Size, depth, nodes and aliases are bounded, an alias counting as all that it stands for.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Any, Final, NoReturn, Protocol

import yaml

from commission.procedure.places import Entry, Mark, Places, Source
from commission.procedure.problems import Place, Problem, nearest, problem

LARGEST: Final = 4 * 1024 * 1024
"""Bytes in a file."""
DEEPEST: Final = 40
MOST_NODES: Final = 400_000
MOST_ALIASES: Final = 1000
MOST_PROBLEMS: Final = 100

_PLAIN: Final = re.compile(
    r"(?P<int>[-+]?[0-9]+)|(?P<octal>0o[0-7]+)|(?P<hex>0x[0-9a-fA-F]+)"
    r"|(?P<float>[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?)"
    r"|(?P<odd>[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))"
)
_WORDS: Final[dict[str, Any]] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip
_NUMERIC: Final = frozenset("+-.0123456789")
_FORBIDDEN: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufeff\ufffe\uffff\u202a-\u202e\u2066-\u2069]"
)
_LOADER: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_MISSING: Final = object()


_ADVICE: Final = (
    ("mapping values", "Quote a text that has a colon followed by a space in it."),
    ("expected ':'", "Look at the indentation here and on the line before."),
    ("did not find", "Look at the indentation here and on the line before."),
    ("cannot start any token", "Quote a text that begins with % @ or `."),
)


class Parser(Protocol):
    """What gives the events of a document."""

    def get_event(self) -> Any:  # noqa: ANN401  the library's events are untyped
        """Return the next event."""


@dataclass(slots=True)
class Document:
    """What a text says: plain data (None where it cannot be read), its places and its problems."""

    data: Any
    places: Places
    problems: list[Problem] = field(default_factory=list)
    nodes: int = 0
    """How many nodes it was built from, aliases counted as what they stand for."""


class _StopError(Exception):
    """Nothing further can be made of the text."""


def build(text: str, file: str) -> Document:
    """Return the data of one YAML document; never raises for anything the text may hold."""
    places = Places(source=Source(file), texts={file: text})
    document = Document(None, places)
    if bad := _FORBIDDEN.search(text):
        document.problems.append(_forbidden(text, bad.start(), file))
        return document
    if len(text) > LARGEST:
        document.problems.append(problem(Place(file), f"more than {LARGEST} characters"))
        return document
    builder = _Builder(document)
    try:
        builder.run(_LOADER(text))
    except _StopError:
        document.data = None
    except yaml.MarkedYAMLError as error:
        document.problems.append(_syntax(error, text, file))
        document.data = None
    except (yaml.YAMLError, RecursionError, MemoryError, ValueError) as error:
        said = " ".join(str(error).split())
        document.problems.append(problem(Place(file), "not readable as YAML", said))
        document.data = None
    places.root = document.data
    return document


def _forbidden(text: str, position: int, file: str) -> Problem:
    line = text.count("\n", 0, position) + 1
    column = position - text.rfind("\n", 0, position)
    got = f"U+{ord(text[position]):04X}"
    hint = "Is this a text file?" if text[position] == "\0" else "Delete it."
    return problem(Place(file, line, column), "a hidden control character", got, hint=hint)


def _syntax(error: yaml.MarkedYAMLError, text: str, file: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    place = Place(file, mark.line + 1, mark.column + 1) if mark else Place(file)
    said = error.problem or error.context or "not readable"
    hint = next((advice for sign, advice in _ADVICE if sign in said), "")
    lines = text.splitlines()
    if mark and mark.line < len(lines) and "\t" in lines[mark.line]:
        hint = "Indent with spaces, not tabs."
    elif mark and mark.line < len(lines) and re.search(r"\d\s*\[", lines[mark.line]):
        hint = 'Inside { } and [ ] an expression with a unit is quoted: "3.0[V]".'
    return problem(place, f"not readable as YAML: {said}", hint=hint)


class _Builder:
    """Builds plain data from events, on a stack of its own."""

    def __init__(self, document: Document) -> None:
        """Begin with an empty stack; what is built goes into `document`."""
        self.document, self.places = document, document.places
        self.source = document.places.source
        self.stack: list[tuple[Any, Entry | None, str | None, int]] = []
        self.top: Any = None
        self.entry: Entry | None = None
        self.key: str | None = None
        self.anchor: str | None = None
        self.began = 0
        self.nodes = self.aliases = self.documents = 0
        self.anchors: dict[str, tuple[Any, int] | None] = {}

    def run(self, parser: Parser) -> None:
        """Go through all events."""
        get, scalar, end = parser.get_event, self._scalar, self._end
        while True:
            event = get()
            kind = type(event)
            if kind is yaml.ScalarEvent:
                scalar(event)
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                end()
            elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                self._start(event, {} if kind is yaml.MappingStartEvent else [])
            elif kind is yaml.AliasEvent:
                self._alias(event)
            elif kind is yaml.DocumentStartEvent:
                self._document(event)
            elif kind is yaml.StreamEndEvent:
                break
        self.document.nodes = self.nodes
        if self.documents == 0:
            self._stop(None, "an empty file", expected="a procedure")

    def _document(self, event: yaml.DocumentStartEvent) -> None:
        self.documents += 1
        if self.documents > 1:
            self._stop(event.start_mark, "a second document", hint="One file holds one document.")

    def _scalar(self, event: Any) -> None:  # noqa: ANN401  the library's events are untyped
        self._count(1, event.start_mark)
        if event.tag is not None:
            self._tell(event.start_mark, "a tag", event.tag, hint="Tags are not used here.")
        text = event.value
        plain = event.style is None or event.style == ""
        value = self._resolve(text, event.start_mark) if plain and event.tag is None else text
        if type(self.top) is dict and self.key is None:
            self._take_key(value, text, event.start_mark)
            return
        if event.anchor:
            self.anchors[event.anchor] = (value, 1)
        self._add(value, event.start_mark)

    def _resolve(self, text: str, mark: Mark) -> Any:  # noqa: ANN401  any scalar
        """Return what a plain scalar stands for."""
        word = _WORDS.get(text, _MISSING)
        if word is not _MISSING:
            return word
        if text[0] not in _NUMERIC or not (match := _PLAIN.fullmatch(text)):
            return text
        if len(text) > 40:  # noqa: PLR2004  longer than any number that means something
            self._tell(mark, "too long a number", text, hint="Quote it if it is a text.")
            return text
        if match.lastgroup not in ("float", "odd"):
            return int(text, 10 if match.lastgroup == "int" else 0)
        number = float(text) if match.lastgroup == "float" else math.inf
        if not math.isfinite(number):
            self._tell(mark, "a number that is not finite", text)
        return number if math.isfinite(number) else text

    def _take_key(self, value: object, text: str, mark: Mark) -> None:
        """Keep the key for the value that follows; an empty one has its value dropped."""
        keys = self.entry.keys if self.entry else {}
        self.key = ""
        if text == "<<":
            self._tell(mark, "a merge key", "<<", hint="Write the keys out; merging is not used.")
        elif not isinstance(value, str) or not text:
            hint = f"Quote it if it is meant: '{text}'." if text else "Is a name missing?"
            self._tell(mark, "a key that is no text", text or "nothing", "a name", hint)
        elif text in keys:
            first = f"First on line {keys[text].line + 1}."
            self._tell(mark, f"the key {text!r} stands twice", hint=first)
        else:
            self.key = text
            keys[text] = mark

    def _add(self, value: Any, mark: Mark) -> None:  # noqa: ANN401  any data
        top, entry = self.top, self.entry
        if type(top) is list:
            top.append(value)
            if entry:
                entry.values.append(mark)
        elif top is None:
            self.document.data = value
        else:
            key, self.key = self.key, None
            if key:
                top[key] = value
                if entry:
                    entry.values[key] = mark

    def _start(self, event: Any, container: Any) -> None:  # noqa: ANN401  any container
        mark = event.start_mark
        self._count(1, mark)
        if event.tag is not None:
            self._tell(mark, "a tag", event.tag, hint="Tags are not used here.")
        if type(self.top) is dict and self.key is None:
            self._stop(mark, "a key that is no text", _what(container), "a name")
        if len(self.stack) >= DEEPEST:
            self._stop(mark, f"nested deeper than {DEEPEST} levels")
        entry = Entry(self.source, mark, container, {}, {} if type(container) is dict else [])
        self.places.entries[id(container)] = entry
        self._add(container, mark)
        if event.anchor:
            self.anchors[event.anchor] = None
        self.stack.append((self.top, self.entry, self.anchor, self.began))
        self.top, self.entry, self.key = container, entry, None
        self.anchor, self.began = event.anchor, self.nodes

    def _end(self) -> None:
        if self.anchor:
            self.anchors[self.anchor] = (self.top, self.nodes - self.began + 1)
        self.top, self.entry, self.anchor, self.began = self.stack.pop()

    def _alias(self, event: Any) -> None:  # noqa: ANN401  the library's events are untyped
        mark = event.start_mark
        self.aliases += 1
        if type(self.top) is dict and self.key is None:
            self._stop(mark, "an alias as a key", f"*{event.anchor}", "a name")
        if self.aliases > MOST_ALIASES:
            self._stop(mark, f"more than {MOST_ALIASES} aliases", hint="Use a fragment instead.")
        if event.anchor not in self.anchors:
            near = nearest(event.anchor, self.anchors)
            self._stop(mark, "an alias without an anchor", f"*{event.anchor}", hint=near)
        known = self.anchors[event.anchor]
        if known is None:
            self._stop(mark, "an alias of what it stands in", f"*{event.anchor}")
        value, size = known
        self._count(size, mark)
        self._add(value, mark)

    def _count(self, nodes: int, mark: Mark) -> None:
        self.nodes += nodes
        if self.nodes > MOST_NODES:
            self._stop(mark, f"more than {MOST_NODES} nodes, each alias counted in full")

    def _tell(
        self, mark: Mark | None, what: str, got: str = "", expected: str = "", hint: str = ""
    ) -> None:
        file = self.source.file
        place = Place(file) if mark is None else Place(file, mark.line + 1, mark.column + 1)
        self.document.problems.append(problem(place, what, got, expected, hint))
        if len(self.document.problems) >= MOST_PROBLEMS:
            raise _StopError

    def _stop(
        self, mark: Mark | None, what: str, got: str = "", expected: str = "", hint: str = ""
    ) -> NoReturn:
        self._tell(mark, what, got, expected, hint)
        raise _StopError


def _what(container: object) -> str:
    return "a list" if isinstance(container, list) else "a mapping"
