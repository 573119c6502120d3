"""`commission report`: by extension and by words, and clear refusals that leave nothing behind."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pypdf
import pytest

from commission.errors import DamagedError
from commission.report.subject import subject_of

if TYPE_CHECKING:
    from commission.record.bench import Bench

ROOT = Path(__file__).parents[2]
JOB = "20310506-BCDF"


@pytest.fixture
def run(bench: Bench, tmp_path: Path) -> Any:
    """Run the command in an empty folder on the bench with the released job."""
    folder = tmp_path / "here"
    folder.mkdir()

    def command(*words: str) -> subprocess.CompletedProcess[str]:
        store = str(bench.places.store)
        environment = {**os.environ, "COMMISSION_STORE": store, "PYTHONPATH": str(ROOT)}
        return subprocess.run(
            [sys.executable, "-m", "commission", "report", *words],
            capture_output=True, text=True, check=False, cwd=folder, env=environment,
        )  # fmt: skip

    return command


def test_the_ending_says_the_format_and_the_words_the_sheet(run: Any, tmp_path: Path) -> None:
    for name, start in (("a.pdf", b"%PDF-"), ("b.html", b"<!DOCTYPE"), ("c.csv", b"# PRACTICE"),
                        ("d.json", b"{")):  # fmt: skip
        told = run(JOB, "-o", name, "--kind", "restore sheet", "--paper", "Letter")
        assert told.returncode == 0, told.stderr
        assert told.stdout == ""
        assert f"{name}: settings restore sheet of {JOB}" in told.stderr
        assert (tmp_path / "here" / name).read_bytes().startswith(start)
    assert pypdf.PdfReader(tmp_path / "here" / "a.pdf").pages[0].mediabox.width == 612


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("20310506-XXXX", "-o", "a.pdf"), "There is no job '20310506-XXXX'"),
        ((JOB, "-o", "a.docx"), "Use .html, .pdf, .csv, .json."),
        ((JOB, "-o", "a"), "has no ending"),
        ((JOB, "-o", "missing/a.pdf"), "missing/a.pdf cannot be written: No such file"),
        ((JOB, "-o", "a.pdf", "--kind", "poster"), "There is no sheet called 'poster'"),
        ((JOB, "-o", "a.pdf", "--paper", "a5"), "Use a4 or letter."),
        ((JOB, "-o", "a.pdf", "--store", "nowhere.db"), "nowhere.db"),
        ((JOB,), "Missing option '--output'"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_is_left(
    words: tuple[str, ...], said: str, run: Any, tmp_path: Path
) -> None:
    told = run(*words)

    assert told.returncode == 2
    assert said in told.stderr
    assert "Traceback" not in told.stderr
    assert list((tmp_path / "here").iterdir()) == []


def test_a_file_that_is_there_is_kept_unless_force_says_otherwise(run: Any, tmp_path: Path) -> None:
    file = tmp_path / "here" / "a.html"
    file.write_text("mine")

    told = run(JOB, "-o", "a.html")
    assert told.returncode == 2
    assert "is there already" in told.stderr
    assert "--force" in told.stderr
    assert file.read_text() == "mine"

    assert run(JOB, "-o", "a.html", "--force").returncode == 0
    assert file.read_text().startswith("<!DOCTYPE")


def test_a_record_that_is_not_whole_gets_no_report(bench: Bench) -> None:
    import sqlite3

    connection = sqlite3.connect(bench.places.store)
    names = [name for (name,) in connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'trigger'")]  # fmt: skip
    for name in names:
        connection.execute(f"DROP TRIGGER {name}")
    connection.execute(
        "UPDATE entry SET line = replace(line, '66.30', '66.40')"
        " WHERE instr(CAST(line AS TEXT), '66.30') > 0"
    )
    connection.commit()
    connection.close()

    with pytest.raises(DamagedError, match="not whole"):
        subject_of(bench, JOB)
