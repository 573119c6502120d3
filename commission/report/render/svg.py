"""A drawing as inline SVG: no script, no style from outside, every text escaped."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from commission.report.drawing import INKS, Box, Circle, Ink, Shape, Stroke, rounded
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.report.drawing import Drawing
    from commission.report.qr import Code


def to_svg(drawing: Drawing, says: str) -> str:
    """Return a drawing; `says` is read aloud in its place."""
    width, height = rounded(drawing.width), rounded(drawing.height)
    shapes = "\n".join(_shape(one) for one in drawing.shapes)
    return (
        f'<svg role="img" aria-label="{text(says)}" viewBox="0 0 {width} {height}"'
        f' width="{width}pt" height="{height}pt">\n{shapes}\n</svg>'
    )


def code_to_svg(code: Code, says: str) -> str:
    """Return a QR code."""
    path = "".join(f"M{x} {y}h{length}v1h-{length}z" for x, y, length in code.runs)
    return (
        f'<svg role="img" aria-label="{text(says)}" viewBox="0 0 {code.size} {code.size}"'
        f' width="110pt" height="110pt" shape-rendering="crispEdges">'
        f'<rect width="{code.size}" height="{code.size}" fill="#ffffff"></rect>'
        f'<path d="{path}" fill="#000000"></path></svg>'
    )


def text(words: str) -> str:
    """Return text from anywhere as harmless HTML: control characters shown, markup escaped."""
    return escape(safe_text(words), quote=True)


def _shape(shape: Shape) -> str:
    match shape:
        case Stroke():
            points = " ".join(f"{rounded(x)},{rounded(y)}" for x, y in shape.points)
            dashed = ' stroke-dasharray="3 3"' if shape.dashed else ""
            name = "polyline" if shape.fill is None else "polygon"
            return (
                f'<{name} points="{points}" fill="{_ink(shape.fill)}" stroke="{_ink(shape.ink)}"'
                f' stroke-width="{rounded(shape.width)}"{dashed}></{name}>'
            )
        case Circle():
            x, y = shape.center
            return (
                f'<circle cx="{rounded(x)}" cy="{rounded(y)}" r="{rounded(shape.radius)}"'
                f' fill="{_ink(shape.fill)}" stroke="{_ink(shape.ink)}"'
                f' stroke-width="{rounded(shape.width)}"></circle>'
            )
        case Box():
            x, y = shape.corner
            return (
                f'<rect x="{rounded(x)}" y="{rounded(y)}" width="{rounded(shape.width)}"'
                f' height="{rounded(shape.height)}" fill="{_ink(shape.fill)}"'
                f' stroke="{_ink(shape.ink)}" stroke-width="{rounded(shape.line)}"></rect>'
            )
        case _:
            x, y = shape.at
            bold = ' font-weight="bold"' if shape.bold else ""
            return (
                f'<text x="{rounded(x)}" y="{rounded(y)}" font-size="{rounded(shape.size)}"'
                f' text-anchor="{shape.anchor}" fill="{_ink(shape.ink)}"{bold}>'
                f"{text(shape.text)}</text>"
            )


def _ink(ink: Ink | None) -> str:
    return "none" if ink is None else INKS[ink]
