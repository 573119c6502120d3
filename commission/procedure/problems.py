"""What is wrong with a file, as values: collected, shown together, each with its place."""

from __future__ import annotations

import difflib
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a file; line and column are counted from 1, 0 where there is none."""

    file: str
    line: int = 0
    column: int = 0
    included: str = ""
    """Where the fragment that this place lies in was included: `file:line`; empty outside one."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong; `what` is always there, the rest where it helps."""

    file: str
    line: int
    column: int
    what: str
    got: str = ""
    expected: str = ""
    hint: str = ""
    severity: Severity = "error"

    def __str__(self) -> str:
        parts = (
            self.what,
            f"got {self.got}" if self.got else "",
            f"expected {self.expected}" if self.expected else "",
            self.hint,
        )
        mark = "warning: " if self.severity == "warning" else ""
        return f"{self.where}: {mark}" + "; ".join(part for part in parts if part)

    @property
    def where(self) -> str:
        """The place as editors and terminals understand it: `file:line:column`."""
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file

    @property
    def is_error(self) -> bool:
        """Whether the file cannot be used because of it."""
        return self.severity == "error"

    def to_json(self) -> dict[str, Any]:
        """Return its fields for machine readers."""
        return asdict(self)

    def as_warning(self) -> Problem:
        """Return the same problem as one that does not keep the file from being used."""
        return replace(self, severity="warning")


def problem(
    place: Place, what: str, got: object = "", expected: str = "", hint: str = ""
) -> Problem:
    """Return an error at a place; `got` is shortened to one readable line."""
    if place.included:
        hint = f"{hint} (included at {place.included})".strip()
    shown = shortened(got)
    return Problem(place.file, place.line, place.column, what, shown, expected, hint)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return the problems once each, by file and place; the first file stays first."""
    once = list(dict.fromkeys(problems))
    files = list(dict.fromkeys(each.file for each in once))
    return tuple(sorted(once, key=lambda each: (files.index(each.file), each.line, each.column)))


def shortened(got: object, longest: int = 60) -> str:
    """Return what was found as one short line."""
    text = str(got) if not isinstance(got, list | dict) else _kind(got)
    text = " ".join(text.split())
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def _kind(got: list[Any] | dict[Any, Any]) -> str:
    return f"a list of {len(got)}" if isinstance(got, list) else f"a mapping of {len(got)}"


def nearest(name: object, known: Iterable[str], cutoff: float = 0.6) -> str:
    """Return advice naming the nearest known name; empty where none is near."""
    near = difflib.get_close_matches(str(name), list(known), n=2, cutoff=cutoff)
    return f"Did you mean {' or '.join(near)}?" if near else ""
