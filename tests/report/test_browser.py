"""The HTML in a real browser: printed to PDF on A4 and Letter, seen on a screen."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from typing import TYPE_CHECKING, Any, Final

import pypdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from commission.report.kinds import HANDOVER, KINDS, document_of
from commission.report.render.html import to_html

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.report.subject import Subject

NAMES: Final = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
QUIET: Final = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--disable-dev-shm-usage", "--hide-scrollbars",
)  # fmt: skip
DONE: Final = 120


@pytest.fixture(scope="module")
def chromium() -> str:
    """The browser that `.ci/run` installs."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("Chromium is not installed here; .ci/run installs it")
    return found


@pytest.fixture
def browse(chromium: str, tmp_path: Path) -> Callable[..., bytes]:
    """Open a page of bytes in the browser and return what it wrote."""

    def run(html: bytes, what: str, *more: str) -> bytes:
        ending = "png" if what == "screenshot" else "pdf"
        page, out = tmp_path / "sheet.html", tmp_path / f"out.{ending}"
        page.write_bytes(html)
        profile = f"--user-data-dir={tmp_path / 'profile'}"
        told = subprocess.run(
            [chromium, *QUIET, profile, *more, f"--{what}={out}", page.as_uri()],
            capture_output=True, check=False, timeout=DONE,
        )  # fmt: skip
        assert out.exists(), told.stderr.decode(errors="replace")
        return out.read_bytes()

    return run


def printed(browse: Any, html: bytes, *more: str) -> list[Any]:
    data = browse(html, "print-to-pdf", "--no-pdf-header-footer", *more)
    return list(pypdf.PdfReader(io.BytesIO(data)).pages)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_each_printed_page_is_numbered_marked_and_the_last_one_ends(
    kind: Any, browse: Any, released: Subject
) -> None:
    texts = [page.extract_text() for page in printed(browse, to_html(document_of(kind, released)))]

    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert "PRACTICE: not a real bike" in text
    assert f"End of the {kind.name}" in texts[-1]
    whole = "".join("".join(texts).split())
    assert released.head in whole


def test_it_fits_a4_and_letter_without_loss(browse: Any, released: Subject) -> None:
    html = to_html(document_of(HANDOVER, released)).decode()
    for paper, width in (("A4", 595), ("Letter", 612)):
        asked = html.replace("@page {", f"@page {{ size: {paper};", 1).encode()
        pages = printed(browse, asked)
        assert round(float(pages[0].mediabox.width)) in (width, width + 1)
        for page in pages:
            _no_text_outside(page)


def _no_text_outside(page: Any) -> None:
    width = float(page.mediabox.width)

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        del font, size
        if text.strip():
            x = tm[4] * cm[0] + cm[4]
            assert 0 < x < width, text

    page.extract_text(visitor_text=visit)


def test_a_phone_reads_the_head_off_the_screen(browse: Any, released: Subject) -> None:
    html = to_html(document_of(HANDOVER, released))
    picture = browse(html, "screenshot", "--window-size=900,6500")

    image = Image.open(io.BytesIO(picture))
    assert [code.text for code in zxingcpp.read_barcodes(image)] == [released.head]
    assert len(image.convert("L").getcolors(256) or []) > 10  # something is painted


def test_a_hostile_frame_number_makes_no_page_number_or_mark_disappear(
    browse: Any, walk: Any, lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("bike_on_stand")
    bike = {"frame": "</style><script>document.body.remove()</script>", "model": '"; } @page { '}
    html = to_html(document_of(HANDOVER, subject_of_lines(lines_of(job.entries, bike))))

    pages = printed(browse, html)

    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert f"page {number} of {len(pages)}" in text
        assert "NOT RELEASED" in text
    assert re.search(r"End\s+of\s+the\s+handover", pages[-1].extract_text())


def test_print_and_pdf_have_the_same_words(browse: Any, released: Subject) -> None:
    from commission.report.render.pdf import to_pdf

    document = document_of(HANDOVER, released)
    ours = pypdfium2.PdfDocument(to_pdf(document, "a4"))
    words = {
        word
        for page in ours
        for word in re.findall(r"[A-Za-z]{5,}", page.get_textpage().get_text_range())
    }
    ours.close()
    text = " ".join(page.extract_text() for page in printed(browse, to_html(document)))

    assert words
    missing = {word for word in words if word not in text}
    assert len(missing) <= len(words) // 50, missing  # broken at line ends
