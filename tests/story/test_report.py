"""The audit is kept, its faults answered, closed with a signature, and printed."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any

import pypdf
import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Commission = Callable[..., Any]

ADA = "correct horse battery ada\n"


def kept(workshop: Any, commission: Commission) -> str:
    """Keep an audit of two jobs with a fault each and a careless one; return its id."""
    jobs = (workshop.planted["procedure"], workshop.planted["roles"], workshop.careless[-3])
    named = [word for job in jobs for word in ("--job", job)]
    told = commission(
        "audit", "run", *named, "--record", "--by", "Ada Nwosu", "--purpose", "Spring <b>2025</b>"
    )
    assert told.code == 1, told.err
    return str(told.err.partition("Kept as ")[2].partition(":")[0])


def pages(data: bytes) -> str:
    """Return the text of a PDF, without its line ends."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_faults_are_answered_and_the_audit_is_closed_and_printed(
    workshop: Any, commission: Commission, tmp_path: Path
) -> None:
    audit = kept(workshop, commission)
    told = commission("report", audit, "-o", tmp_path / "open.pdf")
    assert told.code == 0
    assert "NOT CLOSED" in told.err
    assert "NOT ANSWERED" in pages((tmp_path / "open.pdf").read_bytes())

    shown = json.loads(commission("audit", "show", audit, "--json").out)
    faults = [one for one in shown["findings"] if one["severity"] != "review"]
    assert {one["check"] for one in faults} == {"procedure", "roles"}
    for one in faults:
        said = f"Noted; {one['check']} is mended"
        answer: tuple[Any, ...] = (
            "audit",
            "answer",
            audit,
            one["number"],
            "--text",
            said,
            "--by",
            "Rika Holt",
        )
        assert commission(*answer).code == 0
    told = commission(
        "audit", "remark", audit, "--text", "Seen at the bench", "--job", workshop.careless[-3]
    )
    assert told.code == 0

    words = ("audit", "close", audit, "--conclusion", "Jon is shown once more")
    told = commission(*words, typed="not her passphrase\n")
    assert told.code == 2
    assert "wrong try 1 in a row" in told.err
    told = commission(*words, typed=ADA)
    assert told.code == 0, told.err
    assert "closed, signed; 0 faults unanswered" in told.err
    assert "1 wrong passphrase was typed for you" in told.err
    assert commission(*words, typed=ADA).code == 2
    told = commission("verify", audit)
    assert told.code == 0
    assert "1 signature holds" in told.out

    page = printed(commission, audit, tmp_path)
    for text in (
        "Jon is shown once more", "Rika Holt: Noted; roles is mended", "Seen at the bench",
        "Ada Nwosu takes part as technician and was none then", "audited: ada-nwosu, key",
        workshop.careless[-3],
    ):  # fmt: skip
        assert text in page


def printed(commission: Commission, audit: str, folder: Path) -> str:
    """Write the audit as each format; return the text of the PDF."""
    for ending in ("pdf", "html", "csv", "json"):
        told = commission("report", audit, "-o", folder / f"audit.{ending}")
        assert told.code == 0, told.err
        first = (folder / f"audit.{ending}").read_bytes()
        assert commission("report", audit, "-o", folder / f"audit.{ending}", "--force").code == 0
        assert (folder / f"audit.{ending}").read_bytes() == first
    html = (folder / "audit.html").read_text("utf-8")
    head = commission("verify", audit).out.split("head ")[1].strip()
    assert head in html
    assert "<script" not in html
    assert "Spring &lt;b&gt;2025&lt;/b&gt;" in html
    data = json.loads((folder / "audit.json").read_text())
    assert (data["record"], data["standing"]) == (audit, "closed")
    return pages((folder / "audit.pdf").read_bytes())


def test_a_job_is_printed_with_its_signatures(
    workshop: Any, commission: Commission, tmp_path: Path
) -> None:
    job = workshop.honest[0]
    for name in ("sheet.pdf", "sheet.html"):
        assert commission("report", job, "-o", tmp_path / name).code == 0
    page = pages((tmp_path / "sheet.pdf").read_bytes())
    assert "The signatures hold against the register of this bench." in page
    assert "mara-quill, key" in page
    assert "PRACTICE" not in page


@pytest.mark.parametrize("words", [("--kind", "restore sheet"), ("--paper", "a5")])
def test_an_audit_has_one_sheet(
    workshop: Any, commission: Commission, tmp_path: Path, words: tuple[str, ...]
) -> None:
    audit = kept(workshop, commission)
    told = commission("report", audit, "-o", tmp_path / "a.pdf", *words)
    assert told.code == 2
    assert not (tmp_path / "a.pdf").exists()
