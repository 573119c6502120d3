"""The fonts that PDFs embed, and text made of what they have."""

from __future__ import annotations

import functools
from importlib import resources
from typing import Any, Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from commission.safe_text import safe_text

TEXT: Final = "DejaVuSans"
BOLD: Final = "DejaVuSans-Bold"
FIXED: Final = "DejaVuSansMono"


@functools.cache
def register() -> None:
    """Make the fonts known to ReportLab; doing it again changes nothing."""
    folder = resources.files("commission.report") / "fonts"
    for name in (TEXT, BOLD, FIXED):
        with resources.as_file(folder / f"{name}.ttf") as file:
            pdfmetrics.registerFont(TTFont(name, str(file)))
    pdfmetrics.registerFontFamily(TEXT, normal=TEXT, bold=BOLD, italic=TEXT, boldItalic=BOLD)


def shown(words: str, font: str = TEXT) -> str:
    """Return text made harmless, each character that the font lacks as `[U+4E2D]`."""
    safe = safe_text(words)
    if safe.isascii():
        return safe
    known = _known(font)
    return "".join(one if ord(one) in known else f"[U+{ord(one):04X}]" for one in safe)


@functools.cache
def _known(font: str) -> frozenset[int]:
    register()
    made: Any = pdfmetrics.getFont(font)  # the stubs know no fonts of their own
    return frozenset(made.face.charToGlyph)
