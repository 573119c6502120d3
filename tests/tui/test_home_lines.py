"""Lines of the list of jobs: columns that fit, moments people read, words that find."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from commission.job.entry import GENESIS
from commission.record.store import JobLine
from commission.tui.home import lines

NOW = datetime(2031, 5, 6, 12, 30, tzinfo=UTC)


def job(**changed: object) -> JobLine:
    values: dict[str, object] = {
        "job": "20310506-BBBB", "bike": "OFR-0001 · trail bike", "procedure": "trial",
        "revision": 2, "title": "Trial of the brakes", "step_title": "Pull the lever", "done": 1,
        "total": 3, "status": "open", "opened_at": "2031-05-06T09:00:00.000000Z",
        "last_at": "2031-05-06T10:15:00.000000Z", "by": "Ada", "practice": False, "outcome": "",
        "seq": 4, "head": GENESIS,
    }  # fmt: skip
    return JobLine(**{**values, **changed})  # type: ignore[arg-type]


@given(st.integers(51, 240), st.text(max_size=80), st.text(max_size=40))
def test_a_line_never_exceeds_its_width(width: int, bike: str, by: str) -> None:
    line = lines.job_line(job(bike=bike, by=by), width, NOW)
    assert line.cell_length <= width
    assert "\n" not in line.plain
    assert lines.heading(width).cell_length <= width


@given(st.text(max_size=40), st.integers(2, 30))
def test_a_fitted_text_has_exactly_its_width(text: str, width: int) -> None:
    assert cell_len(lines.fit(text, width)) == width


@pytest.mark.parametrize(
    ("at", "shown"),
    [
        ("2031-05-06T10:15:00.000000Z", "today 10:15"),
        ("2031-04-02T23:05:00Z", "2 Apr 23:05"),
        ("2030-12-31T23:59:00Z", "31 Dec 2030"),
        ("no moment\x1b", "no moment?"),
    ],
)
def test_moments_are_short_and_in_words(at: str, shown: str) -> None:
    assert lines.moment(at, NOW) == shown


def test_moments_are_in_the_time_zone_of_the_bench() -> None:
    east = NOW.astimezone(timezone(timedelta(hours=3)))
    assert lines.moment("2031-05-06T22:15:00Z", east) == "7 May 01:15"


def test_bar_is_full_only_when_all_is_done() -> None:
    assert lines.bar(99, 100).count("█") == 9
    assert lines.bar(100, 100) == "█" * 10
    assert lines.bar(0, 0) == "░" * 10


def test_every_typed_word_must_occur() -> None:
    jobs = (job(), job(bike="OFR-0002 · road bike", by="Kim"))
    assert lines.matching(jobs, "") == jobs
    assert lines.matching(jobs, "ofr kim") == (jobs[1],)
    assert lines.matching(jobs, "OFR nobody") == ()


def test_practice_is_said_in_words() -> None:
    assert "practice, open" in lines.job_line(job(practice=True), 120, NOW).plain


@pytest.mark.parametrize("width", [56, 76, 96, 116, 156])
@pytest.mark.parametrize(
    ("done", "total", "shown"),
    [(117, 117, "117/117"), (1, 999, "1/999"), (1017, 1022, "> 99 %"), (1022, 1022, "100 %")],
)
def test_steps_are_counted_in_full_at_every_width(
    width: int, done: int, total: int, shown: str
) -> None:
    text = lines.job_line(job(done=done, total=total), width, NOW).plain
    assert f"  {shown}  " in text
