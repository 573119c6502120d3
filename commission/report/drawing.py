"""A picture as a list of shapes, which SVG and PDF draw alike.

Lengths are points (1/72 inch), x to the right, y downward. Colours are named by what they mean, so
that a renderer may print them without colour: whatever matters is also said by shape or word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Ink = Literal["ink", "muted", "faint", "accent", "good", "bad", "paper"]
INKS: Final[dict[Ink, str]] = {
    "ink": "#1b1f24",
    "muted": "#57606a",
    "faint": "#d0d7de",
    "accent": "#0b5cad",
    "good": "#1a6b3a",
    "bad": "#b3261e",
    "paper": "#ffffff",
}
Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """Lines from point to point; closed and filled where `fill` names an ink."""

    points: tuple[Point, ...]
    ink: Ink = "ink"
    width: float = 1.0
    dashed: bool = False
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; filled where `fill` names an ink."""

    center: Point
    radius: float
    ink: Ink = "ink"
    width: float = 1.0
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its upper left corner."""

    corner: Point
    width: float
    height: float
    fill: Ink | None = None
    ink: Ink | None = "ink"
    line: float = 0.75


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; `at` is on its base line."""

    at: Point
    text: str
    size: float = 8.0
    anchor: Anchor = "start"
    ink: Ink = "ink"
    bold: bool = False


Shape = Stroke | Circle | Box | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def short(text: str, most: int) -> str:
    """Return `text`, cut to `most` characters with an ellipsis where it is longer."""
    return text if len(text) <= most else text[: most - 1] + "…"


def rounded(number: float) -> str:
    """Return a coordinate as both renderers write it: the same on every machine."""
    return f"{number:.2f}".rstrip("0").rstrip(".") if number else "0"
