"""The PDF: every setting and the head are in its text, each page is marked, and phones read it."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import pypdf
import pypdfium2
import pytest
import zxingcpp

from commission.report.document import Column, Document, Paragraph, Table
from commission.report.kinds import HANDOVER, KINDS, document_of
from commission.report.render.pdf import to_pdf
from commission.report.render.pdf_fonts import shown
from commission.report.sheets.as_left import lines

if TYPE_CHECKING:
    from commission.report.subject import Subject


def pages_of(data: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def squeezed(text: str) -> str:
    return "".join(text.split())


def plain(*blocks: Any) -> Document:
    data = Table("data", (Column("a", "a"),), ())
    return Document("trial", "Trial", "a bike", "J", 1, "ab" * 32, "", blocks, data)  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_every_as_left_setting_and_the_head_are_in_the_text(kind: Any, released: Subject) -> None:
    text = squeezed("".join(pages_of(to_pdf(document_of(kind, released), "a4"))))

    assert released.head in text
    for line, last in lines(released):
        assert squeezed(line.label) in text, line.label
        assert squeezed(last.shown) in text, line.label


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_page_says_practice_job_and_page_n_of_n_and_the_last_that_it_ends(
    paper: Any, released: Subject
) -> None:
    pages = pages_of(to_pdf(document_of(HANDOVER, released), paper))

    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        assert "PRACTICE: not a real bike" in page
        assert f"page {number} of {len(pages)}" in page
        assert f"{released.opened.job} · head {released.head[:16]}" in page
    assert "End of the handover sheet" in pages[-1]


def test_the_paper_is_the_one_asked_for(released: Subject) -> None:
    document = document_of(HANDOVER, released)
    sizes = {
        paper: pypdf.PdfReader(io.BytesIO(to_pdf(document, paper))).pages[0].mediabox[2:]
        for paper in ("a4", "letter")
    }

    # ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1: 8.5 in by 11 in; a point is 1/72 in.
    assert [float(one) for one in sizes["a4"]] == pytest.approx(
        [210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.01
    )
    assert [float(one) for one in sizes["letter"]] == [612.0, 792.0]


def test_the_date_is_that_of_the_newest_entry_and_nothing_runs(released: Subject) -> None:
    data = to_pdf(document_of(HANDOVER, released), "a4")
    found = pypdf.PdfReader(io.BytesIO(data)).metadata
    digits = "".join(one for one in released.state.at[:19] if one.isdigit())

    assert found is not None
    assert str(found["/CreationDate"]) == f"D:{digits}Z"
    assert found.title == f"Handover sheet · {released.opened.job}"
    assert b"/JavaScript" not in data
    assert b"/OpenAction" not in data


def test_all_fonts_are_embedded(released: Subject) -> None:
    reader = pypdf.PdfReader(io.BytesIO(to_pdf(document_of(HANDOVER, released), "a4")))
    shown_with = set()
    for page in reader.pages:
        text = page.get_contents()
        assert text is not None
        for name, reference in page["/Resources"]["/Font"].items():  # type: ignore[index]
            font = reference.get_object()
            if "/FontDescriptor" in font:
                assert "/FontFile2" in font["/FontDescriptor"]
                shown_with.add(str(font["/BaseFont"]).partition("+")[2])
            else:
                assert (
                    f"{name} ".encode() not in text.get_data() or font["/BaseFont"] == "/Helvetica"
                )
    assert shown_with == {"DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono"}


def test_a_phone_reads_the_head_from_the_printed_square(released: Subject) -> None:
    document = pypdfium2.PdfDocument(to_pdf(document_of(HANDOVER, released), "a4"))

    last = document[len(document) - 1].render(scale=2).to_pil()
    document.close()

    # zxing-cpp is a decoder of its own: that it reads the digest is a check from outside.
    assert [code.text for code in zxingcpp.read_barcodes(last)] == [released.head]


def test_signs_of_the_trade_are_printed_and_others_named_by_number() -> None:
    text = "".join(
        pages_of(to_pdf(plain(Paragraph("9.1 kΩ, 25 °C, 5 µs, mm², a → b, ±2, 中")), "a4"))
    )

    assert "9.1 kΩ, 25 °C, 5 µs, mm², a → b, ±2, [U+4E2D]" in text
    assert shown("\x1b[31mred\u202e") == "?[31mred?"


def test_text_longer_than_a_page_is_laid_out_and_says_where_it_was_cut() -> None:
    rows = (("x" * 9000,), ("word " * 3000,))
    document = plain(Table("long", (Column("a", "a"),), rows), Paragraph("y" * 9000, loud=True))

    text = squeezed("".join(pages_of(to_pdf(document, "letter"))))

    assert text.count("cuthere;thedatahasallofit") == 3
    assert "EndofthetrialofJ" in text


@pytest.mark.parametrize("lines", range(36, 60))
def test_head_and_visible_end_share_a_page_wherever_it_breaks(lines: int) -> None:
    from commission.job.entry import Digest
    from commission.report.document import Heading
    from commission.report.sheets import proof

    filled = (Paragraph("word"),) * lines
    ending = proof.of_record("J", 1, Digest("ab" * 32), "job.jsonl")

    pages = pages_of(to_pdf(plain(Heading("First"), *filled, *ending), "a4"))

    assert "made from its first 1 entry" in " ".join(pages[-1].split())
    assert "How the record can be verified" in pages[-1]
    assert "ab" * 16 in pages[-1]
