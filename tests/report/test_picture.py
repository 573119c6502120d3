"""The README's picture of a handover sheet is what the program makes."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import pypdfium2
import pytest
from PIL import Image, ImageChops, ImageStat

from commission.report.kinds import HANDOVER, document_of
from commission.report.render.pdf import to_pdf

if TYPE_CHECKING:
    from commission.report.subject import Subject

PICTURE = Path(__file__).parents[1] / "snapshots" / "handover-sheet.png"
UPDATE = os.environ.get("COMMISSION_SNAPSHOTS") == "update"
MOST = 3.0
"""Mean difference in grey levels of 255: digests and dates may differ, a layout may not."""


def made(subject: Subject) -> Image.Image:
    """Return the first three pages side by side."""
    document = pypdfium2.PdfDocument(to_pdf(document_of(HANDOVER, subject), "a4"))
    pages = [document[at].render(scale=1.1).to_pil().convert("RGB") for at in range(3)]
    document.close()
    gap = 12
    size = (sum(page.width for page in pages) + 4 * gap, pages[0].height + 2 * gap)
    whole = Image.new("RGB", size, "#8a9099")
    x = gap
    for page in pages:
        whole.paste(page, (x, gap))
        x += page.width + gap
    return whole


def test_the_picture_of_the_handover_sheet_is_up_to_date(reverted: Subject) -> None:
    whole = made(reverted)
    if UPDATE:
        whole.quantize(64).save(PICTURE, optimize=True)
    if not PICTURE.exists():
        pytest.fail(f"no {PICTURE.name}; COMMISSION_SNAPSHOTS=update makes it")

    kept = Image.open(PICTURE).convert("RGB")
    assert kept.size == whole.size
    difference = ImageStat.Stat(ImageChops.difference(kept, whole).convert("L")).mean[0]
    assert difference < MOST
