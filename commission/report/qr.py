"""A text as a QR code, as rows of dark stretches that any renderer can draw."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code; lengths are modules, the quiet zone of four around it is included."""

    size: int
    runs: tuple[tuple[int, int, int], ...]
    """Dark stretches: x, y, length."""


def code_of(text: str) -> Code:
    """Return the QR code of a text, error correction M (ISO/IEC 18004)."""
    import segno

    matrix = [list(row) for row in segno.make_qr(text, error="m").matrix_iter(scale=1, border=4)]
    runs = []
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            length = 0
            while x + length < len(row) and row[x + length]:
                length += 1
            if length:
                runs.append((x, y, length))
            x += length or 1
    return Code(len(matrix), tuple(runs))
