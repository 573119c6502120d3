"""What sheets say of the instruments that readings cite, and of leave to read with overdue ones."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.job.instrument import Citable
from commission.report.document import Document, Paragraph, Table
from commission.report.kinds import HANDOVER, RECORD, document_of
from commission.report.render.formats import render

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.report.subject import Subject

LEAD: Final = "Mara Quill"
GOOD: Final = Citable(
    "dmm-1", "multimeter", "bench meter", "M-4711",
    parse_ranges("600 V: 0.5 % + 2 counts of 0.01"), "2099-12-31",
)  # fmt: skip
BARE: Final = Citable("tape-1", "measuring tape", "long tape", "T-9", (), "")
LATE: Final = Citable(
    "heat-1", "thermometer", "old probe", "K-7", parse_ranges("-20 to 300 degC: 1 %"),
    "2031-01-31", "overdue",
)  # fmt: skip


def table(document: Document, name: str) -> Table:
    return next(block for block in document.blocks if isinstance(block, Table) and block.id == name)


def loud(document: Document) -> str:
    return " ".join(one.text for one in document.blocks if isinstance(one, Paragraph) and one.loud)


@pytest.fixture
def cited(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any, monkeypatch: pytest.MonkeyPatch
) -> Subject:
    """A released job whose voltages, lengths and temperatures cite instruments, one overdue."""
    submit = moves.submit
    known = {"multimeter": GOOD, "tape": BARE, "thermometer": LATE}

    def citing(state: Any, step: str, given: Any, by: str, now: Any) -> Any:
        named = state.plan.planned(step).step.instrument
        asked = moves.asking(state, step, now).instrument
        return submit(state, step, given, by, now, known.get(named) if asked else None)

    job = walk().until("declared_use")
    leave = moves.concede_instrument(
        job.state, LATE, LEAD, scope="this bike", expiry="2031-05-31",
        reason="the other is at the laboratory", now=job.now(),
    )  # fmt: skip
    job.record([leave])
    monkeypatch.setattr(moves, "submit", citing)
    job.until()
    assert job.state.outcome == "released"
    subject: Subject = subject_of_lines(lines_of(job.entries))
    return subject


@pytest.mark.parametrize("kind", [HANDOVER, RECORD], ids=lambda kind: kind.slug)
def test_a_sheet_shows_each_instrument_as_it_was_cited(cited: Subject, kind: Any) -> None:
    found = table(document_of(kind, cited), "instruments")
    rows = {row[:5] for row in found.rows}

    assert (
        "dmm-1 bench meter", "M-4711", "±(0.5 % of reading + 2 counts), range 600 V", "2099-12-31",
        "good",
    ) in rows  # fmt: skip
    assert (
        "tape-1 long tape", "T-9", "as the procedure asks: none stated for what was read",
        "none asked", "good",
    ) in rows  # fmt: skip
    assert "±(1 % of reading), range -20 to 300 degC" in {row[2] for row in rows}
    assert len(rows) == len(found.rows), "each is told once"
    assert all(row[5] for row in found.rows), "says at which steps"


def test_an_overdue_one_is_loud_with_whose_leave_it_was_read(cited: Subject) -> None:
    document = document_of(HANDOVER, cited)
    found = table(document, "instruments")
    leave = next(entry for entry in cited.entries if entry.kind == "instrument_conceded")

    (at,) = found.loud
    assert found.rows[at][3:5] == (
        "2031-01-31", f"OVERDUE; leave of {LEAD} until 2031-05-31, entry {leave.seq}"
    )  # fmt: skip
    assert "not in calibration: heat-1 old probe" in loud(document)


def test_leave_for_an_instrument_stands_among_the_concessions(cited: Subject) -> None:
    row = table(document_of(RECORD, cited), "concessions").rows[-1]

    assert row[0] == "reading with heat-1 old probe, serial K-7, overdue"
    assert row[1:3] == ("this bike", "the other is at the laboratory")
    assert row[3].startswith(f"{LEAD} (lead), entry ")
    assert row[4] == "2031-05-31"


def test_without_cited_instruments_the_record_says_whose_accuracy_it_is(released: Subject) -> None:
    found = table(document_of(RECORD, released), "instruments")

    assert not found.rows
    assert "the one that the procedure asks for" in found.empty
    assert not any(
        isinstance(block, Table) and block.id == "instruments"
        for block in document_of(HANDOVER, released).blocks
    )


@pytest.mark.parametrize("form", ["html", "csv", "json", "pdf"])
def test_every_format_takes_a_job_with_instruments(cited: Subject, form: Any) -> None:
    first = render(document_of(RECORD, cited), form)

    assert first == render(document_of(RECORD, cited), form)
