"""A document as one HTML file: nothing from outside, no script, made to be printed.

Printed pages carry banner, sheet, job and `page n of N` in the page margins (CSS paged media
margin boxes, which current Chromium-based browsers print; others print the sheet without them, and
its end says that it is the end). No paper size is asked for: A4 and Letter both do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.report.document import (
    Blanks,
    Block,
    Document,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Points,
    Proof,
    Table,
    Warn,
    parted,
)
from commission.report.drawing import short
from commission.report.qr import code_of
from commission.report.render.svg import code_to_svg, text, to_svg
from commission.report.times import counted, moment
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Iterator

_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"
_STYLE: Final = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font: 10pt/1.4 "DejaVu Sans", "Noto Sans", "Segoe UI", Helvetica, Arial, sans-serif;
  color: #1b1f24; background: #fff; font-variant-ligatures: none;
  max-width: 190mm; margin: 0 auto; padding: 8mm 5mm; }
h1 { font-size: 20pt; line-height: 1.15; margin: 0 0 1mm; }
h2 { font-size: 13pt; margin: 8mm 0 2mm; padding-bottom: 1mm; border-bottom: 1.5pt solid #1b1f24;
  break-after: avoid; }
h3 { font-size: 10.5pt; margin: 5mm 0 1.5mm; break-after: avoid; }
h4 { font-size: 9.5pt; margin: 4mm 0 1mm; break-after: avoid; }
h2 + p, h4 + p, h4 + .warn { break-after: avoid; }
.last { break-inside: avoid; }
p { margin: 0 0 2mm; }
p.about { font-size: 12pt; color: #57606a; margin-bottom: 4mm; }
p.banner, p.loud { font-weight: bold; border: 1.5pt solid #b3261e; padding: 1.5mm 2.5mm; }
p.banner { color: #fff; background: #b3261e; font-size: 12pt; text-align: center;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
p, td, th, dd, dt, li { overflow-wrap: anywhere; unicode-bidi: isolate; }
ul, ol { margin: 0 0 2mm; padding-left: 6mm; }
dl { display: grid; grid-template-columns: minmax(30mm, max-content) 1fr; gap: .8mm 4mm;
  margin: 0 0 3mm; }
dt { color: #57606a; max-width: 60mm; }
dd { margin: 0; font-weight: 600; }
table { width: 100%; border-collapse: collapse; margin: 0 0 3mm; font-size: 8pt;
  table-layout: fixed; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th { text-align: left; vertical-align: bottom; border-bottom: 1pt solid #1b1f24; padding: 1mm; }
td { vertical-align: top; border-bottom: .5pt solid #d0d7de; padding: 1mm; }
tr.loud td { font-weight: bold; background: #fdf0ef; border-left: 0; }
tr.loud td:first-child { border-left: 2.5pt solid #b3261e; }
table.blank td { border: .5pt solid #57606a; height: 8mm; }
p.empty { color: #57606a; }
figure { margin: 3mm 0; break-inside: avoid; }
figcaption { font-weight: bold; margin-bottom: 1mm; }
figure svg { max-width: 100%; height: auto; }
figure p { color: #57606a; font-size: 8.5pt; }
.warn { border: 1pt solid #1b1f24; border-left-width: 5pt; padding: 1.5mm 2.5mm; margin: 0 0 2mm;
  break-inside: avoid; }
.warn b { letter-spacing: .05em; }
.warn.DANGER, .warn.WARNING { border-color: #b3261e; }
.proof { display: flex; gap: 6mm; align-items: center; break-inside: avoid; margin: 3mm 0;
  border: 1pt solid #1b1f24; padding: 3mm; }
.proof code { font: bold 10.5pt/1.5 "DejaVu Sans Mono", "Liberation Mono", monospace;
  display: block; }
.line { display: flex; gap: 3mm; align-items: flex-end; height: 10mm; break-inside: avoid; }
.line i { flex: 1; border-bottom: .75pt solid #1b1f24; }
.end { margin-top: 8mm; border-top: 1.5pt solid #1b1f24; padding-top: 2mm; text-align: center;
  font-weight: bold; break-inside: avoid; }
svg text { font-family: "DejaVu Sans", "Noto Sans", "Segoe UI", Helvetica, Arial, sans-serif; }
@media print {
  body { max-width: none; margin: 0; padding: 0; }
  tr.loud td { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""
_MOST, _MOST_BESIDE = 90, 55
"""Characters of what a page says of its sheet, alone and beside a banner: a margin is one line."""
_PAGE: Final = """
@page {{
  margin: 18mm 15mm 18mm 15mm;
  @top-left {{ content: "{banner}"; font: bold 8.5pt sans-serif; color: #b3261e;
    white-space: nowrap; }}
  @top-right {{ content: "{sheet}"; font: 8pt sans-serif; color: #57606a; white-space: nowrap; }}
  @bottom-left {{ content: "{foot}"; font: 8pt sans-serif; color: #57606a; white-space: nowrap; }}
  @bottom-right {{ content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif;
    color: #57606a; white-space: nowrap; }}
}}
"""


def to_html(document: Document) -> bytes:
    """Return the document as UTF-8 HTML."""
    return "".join(f"{line}\n" for line in _lines(document)).encode("utf-8")


def end_words(document: Document) -> str:
    """Return what stands at the visible end of every sheet."""
    if document.source:
        return f"End of the {document.kind} of {document.stream}, made from {document.source}."
    return (
        f"End of the {document.kind} of {document.stream}, made from its first"
        f" {counted(document.entries, 'entry', 'entries')} ({moment(document.until)})."
    )


def _lines(document: Document) -> Iterator[str]:
    most = _MOST_BESIDE if document.banner else _MOST
    page = _PAGE.format(
        banner=_in_css(document.banner),
        sheet=_in_css(short(f"{document.title} · {document.about}", most)),
        foot=_in_css(f"{document.stream} · head {document.head[:16]}…"),
    )
    yield "<!DOCTYPE html>"
    yield '<html lang="en">'
    yield "<head>"
    yield '<meta charset="utf-8">'
    yield f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield '<meta name="robots" content="noindex">'
    yield f"<title>{text(document.full_title)}</title>"
    yield f"<style>{_STYLE}{page}</style>"
    yield "</head>"
    yield "<body>"
    if document.banner:
        yield f'<p class="banner">{text(document.banner)}</p>'
    yield f"<h1>{text(document.title)}</h1>"
    yield f'<p class="about">{text(document.about)}</p>'
    blocks, last = parted(document.blocks)
    for block in blocks:
        yield from _block(block)
    yield '<div class="last">'
    for block in last:
        yield from _block(block)
    yield f'<p class="end">{text(end_words(document))}</p>'
    yield "</div>"
    yield "</body>"
    yield "</html>"


def _block(block: Block) -> Iterator[str]:  # noqa: C901  one case for each kind of block
    match block:
        case Heading():
            level = block.level + 1
            yield f"<h{level}>{text(block.text)}</h{level}>"
        case Paragraph():
            loud = ' class="loud"' if block.loud else ""
            yield f"<p{loud}>{text(block.text)}</p>"
        case Points():
            name = "ol" if block.ordered else "ul"
            items = "".join(f"<li>{text(item)}</li>" for item in block.items)
            yield f"<{name}>{items}</{name}>"
        case Warn():
            yield _warn(block)
        case Facts():
            rows = "".join(
                f"<dt>{text(name)}</dt><dd>{text(said)}</dd>" for name, said in block.rows
            )
            yield f"<dl>{rows}</dl>"
        case Table():
            yield from _table(block)
        case Figure():
            yield f"<figure><figcaption>{text(block.title)}</figcaption>"
            yield to_svg(block.drawing, block.says)
            yield f"<p>{text(block.says)}</p></figure>"
        case Blanks():
            for label in block.labels:
                yield f'<p class="line"><span>{text(label)}</span><i></i></p>'
        case Proof():
            yield _proof(block)


def _warn(block: Warn) -> str:
    said = f"{text(block.hazard)} {text(block.consequence)} {text(block.avoidance)}"
    signal = text(block.signal)
    return f'<div class="warn {signal}"><b>{signal}</b> {said}</div>'


def _table(table: Table) -> Iterator[str]:
    if not table.rows:
        yield f'<p class="empty">{text(table.empty)}</p>'
        return
    total = sum(column.share for column in table.columns)
    widths = "".join(
        f'<col style="width:{100 * column.share / total:.2f}%">' for column in table.columns
    )
    heads = "".join(f'<th scope="col">{text(column.title)}</th>' for column in table.columns)
    blank = ' class="blank"' if table.blank else ""
    yield f"<table{blank}><colgroup>{widths}</colgroup><thead><tr>{heads}</tr></thead><tbody>"
    for at, row in enumerate(table.rows):
        loud = ' class="loud"' if at in table.loud else ""
        yield f"<tr{loud}>{''.join(f'<td>{text(cell)}</td>' for cell in row)}</tr>"
    yield "</tbody></table>"


def _proof(block: Proof) -> str:
    code = code_to_svg(code_of(block.head), f"QR code of the head digest {block.head}")
    half = len(block.head) // 2
    return (
        f'<div class="proof">{code}<div><p>Record {text(block.stream)}, {block.entries} entries,'
        f" head digest (SHA-256):</p><code>{text(block.head[:half])}<wbr>{text(block.head[half:])}"
        "</code><p>The square holds the same digest.</p></div></div>"
    )


def _in_css(words: str) -> str:
    """Return text as the inside of a CSS string: all but letters, digits and spaces by number.

    The space behind a number belongs to it.
    """
    return "".join(
        one if one.isascii() and (one.isalnum() or one == " ") else f"\\{ord(one):06x} "
        for one in safe_text(words)
    )
