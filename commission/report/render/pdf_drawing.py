"""Drawings and QR codes as vectors on a PDF page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reportlab.platypus import Flowable

from commission.report.drawing import INKS, Box, Circle, Drawing, Ink, Shape, Stroke, Words
from commission.report.render.pdf_fonts import BOLD, TEXT, shown

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from commission.report.qr import Code


class Picture(Flowable):
    """A drawing; made smaller where it is wider than the page."""

    def __init__(self, drawing: Drawing) -> None:
        super().__init__()
        self._drawing = drawing
        self._scale = 1.0

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  ReportLab's names
        """Return the size it takes."""
        self._scale = min(1.0, aW / self._drawing.width, aH / self._drawing.height)
        return self._drawing.width * self._scale, self._drawing.height * self._scale

    def draw(self) -> None:
        """Draw it."""
        canvas: Canvas = self.canv
        canvas.saveState()
        canvas.scale(self._scale, self._scale)
        for shape in self._drawing.shapes:
            _draw(canvas, shape, self._drawing.height)
        canvas.restoreState()


class Square(Flowable):
    """A QR code of a given size."""

    def __init__(self, code: Code, size: float) -> None:
        super().__init__()
        self._code = code
        self._size = size

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  ReportLab's names
        """Return the size it takes."""
        del aW, aH
        return self._size, self._size

    def draw(self) -> None:
        """Draw it."""
        canvas: Canvas = self.canv
        module = self._size / self._code.size
        canvas.saveState()
        canvas.setFillColor("#000000")
        path = canvas.beginPath()
        for x, y, length in self._code.runs:
            path.rect(x * module, self._size - (y + 1) * module, length * module, module)
        canvas.drawPath(path, stroke=0, fill=1)
        canvas.restoreState()


def _draw(canvas: Canvas, shape: Shape, height: float) -> None:
    match shape:
        case Stroke():
            _pens(canvas, shape.ink, shape.fill, shape.width)
            canvas.setDash([3, 3] if shape.dashed else [])
            path = canvas.beginPath()
            (x, y), *others = shape.points
            path.moveTo(x, height - y)
            for x, y in others:
                path.lineTo(x, height - y)
            if shape.fill is not None:
                path.close()
            canvas.drawPath(path, stroke=1, fill=int(shape.fill is not None))
            canvas.setDash([])
        case Circle():
            _pens(canvas, shape.ink, shape.fill, shape.width)
            x, y = shape.center
            canvas.circle(x, height - y, shape.radius, stroke=1, fill=int(shape.fill is not None))
        case Box():
            _pens(canvas, shape.ink, shape.fill, shape.line)
            x, y = shape.corner
            stroke, fill = int(shape.ink is not None), int(shape.fill is not None)
            bottom = height - y - shape.height
            canvas.rect(x, bottom, shape.width, shape.height, stroke=stroke, fill=fill)
        case _:
            _write(canvas, shape, height)


def _write(canvas: Canvas, words: Words, height: float) -> None:
    font = BOLD if words.bold else TEXT
    canvas.setFont(font, words.size)
    canvas.setFillColor(INKS[words.ink])
    x, y = words.at
    said = shown(words.text, font)
    if words.anchor == "end":
        canvas.drawRightString(x, height - y, said)
    elif words.anchor == "middle":
        canvas.drawCentredString(x, height - y, said)
    else:
        canvas.drawString(x, height - y, said)


def _pens(canvas: Canvas, ink: Ink | None, fill: Ink | None, width: float) -> None:
    canvas.setLineWidth(width)
    if ink is not None:
        canvas.setStrokeColor(INKS[ink])
    if fill is not None:
        canvas.setFillColor(INKS[fill])
