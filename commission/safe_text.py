"""The one choke point for text from people and files on its way to a screen or a terminal.

Such text is data: no escape sequence, control character or direction override of its takes effect.
Markup is a matter of the widget: give the result to `textual.content.Content` or `markup=False`.
"""

from __future__ import annotations

import unicodedata
from typing import Final

_DROPPED: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def safe_text(text: object, *, lines: bool = False) -> str:
    """Return `text` with control, format and direction characters made visible as `?`.

    Line breaks and tabs become spaces, unless `lines` keeps the breaks.
    """
    source = str(text)
    if source.isascii() and source.isprintable():
        return source
    return "".join(_safe(character, lines=lines) for character in source.replace("\r\n", "\n"))


def _safe(character: str, *, lines: bool) -> str:
    if character == "\n":
        return "\n" if lines else " "
    if character == "\t":
        return " "
    return "?" if unicodedata.category(character) in _DROPPED else character
