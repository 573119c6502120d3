"""The blocks of a document as what ReportLab lays out on pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor, white
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    HRFlowable,
    KeepTogether,
    Spacer,
)
from reportlab.platypus import Paragraph as Text
from reportlab.platypus import Table as Grid

from commission.report import document as parts
from commission.report.drawing import INKS
from commission.report.qr import code_of
from commission.report.render.html import end_words
from commission.report.render.pdf_drawing import Picture, Square
from commission.report.render.pdf_fonts import BOLD, FIXED, TEXT, shown
from commission.report.times import counted

if TYPE_CHECKING:
    from collections.abc import Iterator

_INK, _MUTED, _FAINT, _BAD = (HexColor(INKS[name]) for name in ("ink", "muted", "faint", "bad"))
_PALE: Final = HexColor("#fdf0ef")
_ROOM: Final = {1: 105.0, 2: 80.0, 3: 115.0}
"""What must be left on a page for a heading of a level to begin there."""
_LONG: Final = 600
"""Characters from which on a cell may be taller than what is left of any page."""
_MOST: Final = 4000
"""Characters of one cell or paragraph on paper; what is longer is cut, and says so."""


def _style(name: str, size: float, **more: object) -> ParagraphStyle:
    made: dict[str, Any] = {
        "fontName": TEXT, "fontSize": size, "leading": size * 1.35, "textColor": _INK,
        "splitLongWords": 1, **more,
    }  # fmt: skip
    return ParagraphStyle(name, **made)


_BODY: Final = _style("body", 9, spaceAfter=5)
_CELL: Final = _style("cell", 7.5)
_CELL_LOUD: Final = _style("cell-loud", 7.5, fontName=BOLD)
_HEAD: Final = _style("head", 7.5, fontName=BOLD)
_TITLE: Final = _style("title", 20, fontName=BOLD, leading=24)
_ABOUT: Final = _style("about", 11, textColor=_MUTED, spaceAfter=8)
_LEVELS: Final = {
    1: _style("section", 13, fontName=BOLD, spaceBefore=14, spaceAfter=3),
    2: _style("part", 10, fontName=BOLD, spaceBefore=9, spaceAfter=3),
    3: _style("step", 9, fontName=BOLD, spaceBefore=7, spaceAfter=3, keepWithNext=1),
}
_LOUD: Final = _style("loud", 9, fontName=BOLD)
_BANNER: Final = _style("banner", 11, fontName=BOLD, textColor=white, alignment=1)
_QUIET: Final = _style("quiet", 8, textColor=_MUTED, spaceAfter=5)
_CAPTION: Final = _style("caption", 9, fontName=BOLD, spaceBefore=6, spaceAfter=2)
_FIXED: Final = _style("fixed", 9.5, fontName=FIXED)
_END: Final = _style("end", 8.5, fontName=BOLD, alignment=1, spaceBefore=6)


def flowables(document: parts.Document, width: float) -> list[Flowable]:
    """Return all that stands between the margins of a document's pages."""
    made: list[Flowable] = []
    if document.banner:
        made += [_boxed(document.banner, _BANNER, width, back=_BAD), Spacer(0, 6)]
    made += [_text(document.title, _TITLE), _text(document.about, _ABOUT)]
    blocks, last = parts.parted(document.blocks)
    for block in blocks:
        made += _block(block, width)
    ending = [one for block in last for one in _block(block, width)]
    made.append(KeepTogether([
        *ending, Spacer(0, 12), HRFlowable("100%", 1.2, color=_INK),
        _text(end_words(document), _END),
    ]))  # fmt: skip
    return made


def _text(words: str, style: ParagraphStyle) -> Text:
    said = words if len(words) <= _MOST else f"{words[:_MOST]}… (cut here; the data has all of it)"
    return Text(escape(shown(said, style.fontName)), style)


def _block(block: parts.Block, width: float) -> Iterator[Flowable]:  # noqa: C901, PLR0912  a case each
    match block:
        case parts.Heading():
            yield CondPageBreak(_ROOM[block.level])
            yield _text(block.text, _LEVELS[block.level])
            if block.level == 1:
                yield HRFlowable("100%", 1, color=_INK, spaceBefore=0, spaceAfter=5)
        case parts.Paragraph():
            if block.loud:
                yield _boxed(block.text, _LOUD, width, line=_BAD)
                yield Spacer(0, 5)
            else:
                yield _text(block.text, _BODY)
        case parts.Points():
            for at, item in enumerate(block.items, 1):
                mark = f"{at}." if block.ordered else "•"
                yield Grid([[_text(mark, _BODY), _text(item, _BODY)]], [16, width - 16],
                           style=_flush())  # fmt: skip
            yield Spacer(0, 4)
        case parts.Warn():
            yield _warn(block, width)
            yield Spacer(0, 4)
        case parts.Facts():
            rows = [[_text(name, _QUIET), _text(said, _LOUD)] for name, said in block.rows]
            if rows:
                yield Grid(rows, [130, width - 130], style=_flush())
                yield Spacer(0, 5)
        case parts.Table():
            yield from _table(block, width)
        case parts.Figure():
            yield KeepTogether([
                _text(block.title, _CAPTION), Picture(block.drawing), _text(block.says, _QUIET),
            ])  # fmt: skip
        case parts.Blanks():
            yield _blanks(block, width)
        case parts.Proof():
            yield _proof(block, width)


def _table(table: parts.Table, width: float) -> Iterator[Flowable]:
    if not table.rows:
        yield _text(table.empty, _QUIET)
        return
    total = sum(column.share for column in table.columns)
    widths = [width * column.share / total for column in table.columns]
    rows: list[list[Flowable]] = [[_text(column.title, _HEAD) for column in table.columns]]
    for at, row in enumerate(table.rows):
        style = _CELL_LOUD if at in table.loud else _CELL
        rows.append([_text(cell, style) for cell in row])
    look: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3), ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5), ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ("LINEBELOW", (0, 0), (-1, 0), 1, _INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, _FAINT),
    ]  # fmt: skip
    if table.blank:
        look += [("GRID", (0, 1), (-1, -1), 0.5, _MUTED), ("BOTTOMPADDING", (0, 1), (-1, -1), 9)]
    for at in table.loud:
        look += [("BACKGROUND", (0, at + 1), (-1, at + 1), _PALE),
                 ("LINEBEFORE", (0, at + 1), (0, at + 1), 2.5, _BAD)]  # fmt: skip
    is_long = any(len(cell) > _LONG for row in table.rows for cell in row)
    yield Grid(rows, widths, repeatRows=1, splitByRow=1, splitInRow=int(is_long), style=look)
    yield Spacer(0, 7)


def _boxed(
    words: str, style: ParagraphStyle, width: float, line: object = None, back: object = None
) -> Flowable:
    look: list[tuple[Any, ...]] = [
        ("LEFTPADDING", (0, 0), (-1, -1), 7), ("RIGHTPADDING", (0, 0), (-1, -1), 7),
        ("TOPPADDING", (0, 0), (-1, -1), 3), ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
    ]  # fmt: skip
    if line is not None:
        look.append(("BOX", (0, 0), (-1, -1), 1.3, line))
    if back is not None:
        look.append(("BACKGROUND", (0, 0), (-1, -1), back))
    return Grid([[_text(words, style)]], [width], splitInRow=1, style=look)


def _warn(block: parts.Warn, width: float) -> Flowable:
    color = _BAD if block.signal in ("DANGER", "WARNING") else _INK
    said = _text(f"{block.hazard} {block.consequence} {block.avoidance}", _BODY)
    look: list[tuple[Any, ...]] = [
        ("BOX", (0, 0), (-1, -1), 0.8, color), ("LINEBEFORE", (0, 0), (0, -1), 4.5, color),
        ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 9),
        ("TOPPADDING", (0, 0), (-1, -1), 3), ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]  # fmt: skip
    return Grid([[_text(block.signal, _LOUD), said]], [74, width - 74], style=look)


def _blanks(block: parts.Blanks, width: float) -> Flowable:
    rows = [[_text(label, _BODY), ""] for label in block.labels]
    look: list[tuple[Any, ...]] = [
        ("LINEBELOW", (1, 0), (1, -1), 0.7, _INK),
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
    ]
    return Grid(rows, [140, width - 140], [27] * len(rows), style=look)


def _proof(block: parts.Proof, width: float) -> Flowable:
    half = len(block.head) // 2
    said = [
        _text(
            f"Record {block.stream}, {counted(block.entries, 'entry', 'entries')},"
            " head digest (SHA-256):",
            _BODY,
        ),
        _text(block.head[:half], _FIXED),
        _text(block.head[half:], _FIXED),
        Spacer(0, 5),
        _text("The square holds the same digest.", _QUIET),
    ]
    look: list[tuple[Any, ...]] = [
        ("BOX", (0, 0), (-1, -1), 0.8, _INK), ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 8), ("TOPPADDING", (0, 0), (-1, -1), 6),
    ]  # fmt: skip
    return Grid([[Square(code_of(block.head), 110), said]], [134, width - 134], style=look)


def _flush() -> list[tuple[Any, ...]]:
    return [
        ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4), ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]  # fmt: skip
