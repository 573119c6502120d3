"""A document's data as CSV (RFC 4180, UTF-8), safe to open in a spreadsheet.

Lines that start with `#` say what it is; then one line of titles, then rows. A text that a
spreadsheet would take for a formula gets an apostrophe before it; a plain number does not.
"""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING, Final

from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.report.document import Document

_NUMBER: Final = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "|", "%", "＝", "＋", "－", "＠")
_ONE_CELL: Final = str.maketrans({",": " ·", ";": " ·", '"': "'"})
"""What keeps a line that is a remark in one cell, unquoted."""


def to_csv(document: Document) -> bytes:
    """Return the document's data table."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for words in _head(document):
        out.write(f"# {safe_text(words).translate(_ONE_CELL)}\r\n")
    writer.writerow([column.id for column in document.data.columns])
    for row in document.data.rows:
        writer.writerow([cell(text) for text in row])
    return out.getvalue().encode("utf-8")


def cell(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula."""
    safe = safe_text(text)
    stripped = safe.lstrip(" '\"")
    if stripped.startswith(_FORMULA) and not _NUMBER.fullmatch(safe):
        return "-" if safe == "-" else f"'{safe}"
    return safe


def _head(document: Document) -> list[str]:
    made_from = document.source or f"{document.entries} entries"
    words = [
        f"{document.title}: {document.about}",
        f"{document.stream}; {made_from}; head {document.head}",
    ]
    return [document.banner, *words] if document.banner else words
