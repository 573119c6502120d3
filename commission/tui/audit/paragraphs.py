"""Paragraphs with a word before each, as content; what they say is data."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from textual.content import Content

from commission.tui.widgets import plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.tui.job.told import Told

_WORD: Final = 11
_LEAST: Final = 20
_MOST: Final = 100


def laid_out(paragraphs: Iterable[Told], width: int) -> Content:
    """Return paragraphs in `width` columns, each word in a column of its own."""
    room = max(_LEAST, min(width, _MOST) - _WORD)
    lines: list[Content] = []
    for one in paragraphs:
        style = f"bold {one.style}" if one.bold else one.style
        word = plain(f"{one.word:<{_WORD}}", style)
        for line in textwrap.wrap(one.text, room, break_on_hyphens=False) or [""]:
            lines.append(Content.assemble(word, plain(line, "bold" if one.bold else "")))
            word = Content(" " * _WORD)
    return Content("\n").join(lines)
