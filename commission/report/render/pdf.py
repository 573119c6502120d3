"""A document as PDF, by ReportLab: pure Python, no system library, vector pictures.

Reproducible: ReportLab's `invariant` mode leaves out clock and chance, and the date is that of the
record's newest entry. The fonts are embedded, as subsets: DejaVu, cut down to what the trade writes
(`commission/report/fonts`). A character that they lack is written as its number, `[U+4E2D]`, never
left out. Pages are laid out twice, so that the first can say of how many.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from commission.report.drawing import INKS
from commission.report.render import pdf_fonts
from commission.report.render.pdf_blocks import flowables

if TYPE_CHECKING:
    from commission.report.document import Document
    from commission.report.render.formats import Paper

_SIZES: Final = {"a4": A4, "letter": LETTER}
_SIDE: Final = 42.5
_TOP: Final = 54.0
_BOTTOM: Final = 51.0


def to_pdf(document: Document, paper: Paper) -> bytes:
    """Return the document as PDF on A4 or Letter."""
    pdf_fonts.register()
    _, pages = _laid_out(document, paper, 0)
    data, _ = _laid_out(document, paper, pages)
    return data


def _laid_out(document: Document, paper: Paper, pages: int) -> tuple[bytes, int]:
    size = _SIZES[paper]
    out = io.BytesIO()
    frame = Frame(
        _SIDE, _BOTTOM, size[0] - 2 * _SIDE, size[1] - _TOP - _BOTTOM,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip

    def margins(canvas: Canvas, template: BaseDocTemplate) -> None:
        del template
        _margins(canvas, document, size, pages)

    template = BaseDocTemplate(
        out, pagesize=size, invariant=1, title=pdf_fonts.shown(document.full_title),
        subject=pdf_fonts.shown(document.about, pdf_fonts.TEXT), creator="commission",
        author="commission", producer="commission", lang="en",
        pageTemplates=[PageTemplate("page", [frame], onPage=margins)],
    )  # fmt: skip
    template.build(flowables(document, frame.width), canvasmaker=_canvas_with(document.until))
    return out.getvalue(), template.page


def _canvas_with(until: str) -> type[Canvas]:
    """Return a canvas whose date is that of a moment of the record."""
    digits = "".join(one for one in until[:19] if one.isdigit())

    class DatedCanvas(Canvas):
        def __init__(self, *given: object, **named: object) -> None:
            super().__init__(*given, **named)  # type: ignore[arg-type]
            self.setDateFormatter(lambda *_: f"D:{digits}Z" if digits else "D:20000101000000Z")

    return DatedCanvas


def _margins(canvas: Canvas, document: Document, size: tuple[float, float], pages: int) -> None:
    """Draw what each page says: banner, sheet, job, head, page n of N."""
    width, height = size
    canvas.saveState()
    top = height - 32.0
    room = width - 2 * _SIDE
    if document.banner:
        canvas.setFillColor(INKS["bad"])
        room -= _draw(canvas, _SIDE, top, document.banner, pdf_fonts.BOLD, room * 0.65) + 15.0
    canvas.setFillColor(INKS["muted"])
    sheet = f"{document.title} · {document.about}"
    _draw(canvas, width - _SIDE, top, sheet, pdf_fonts.TEXT, room, right=True)
    canvas.setStrokeColor(INKS["faint"])
    canvas.setLineWidth(0.6)
    canvas.line(_SIDE, top - 6.0, width - _SIDE, top - 6.0)
    foot = f"{document.stream} · head {document.head[:16]}…"
    _draw(canvas, _SIDE, 30.0, foot, pdf_fonts.TEXT, width / 2)
    number = f"page {canvas.getPageNumber()} of {pages}"
    _draw(canvas, width - _SIDE, 30.0, number, pdf_fonts.TEXT, width / 3, right=True)
    canvas.restoreState()


def _draw(
    canvas: Canvas, x: float, y: float, words: str, font: str, room: float, *, right: bool = False
) -> float:
    """Draw a text, cut to the room there is; return how wide it is."""
    said = pdf_fonts.shown(words, font)
    while said and canvas.stringWidth(said, font, 8.0) > room:
        said = f"{said[:-2]}…"
    canvas.setFont(font, 8.0)
    if right:
        canvas.drawRightString(x, y, said)
    else:
        canvas.drawString(x, y, said)
    return float(canvas.stringWidth(said, font, 8.0))
