"""A job walked as it happened: timeline, detail, findings one after the other, remarks."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.book import AuditBook
from commission.tui.audit.checking import Checking, Order
from commission.tui.audit.walk import Walk
from commission.tui.audit.walk_text import cells, detail, lasted
from commission.tui.audit.walked import by_entry, judged_today, read_walked

if TYPE_CHECKING:
    from commission.audit.state import AuditState
    from commission.record.bench import Bench

AS_OF = "2031-06-01T00:00:00.000000Z"
SIZES = [(80, 24), (120, 40)]
IDS = ["80x24", "120x40"]
TYPED_LATER, TAMPERED, UNSIGNED = "20300107-BCDK", "20300112-BCDG", "20310507-ZZZZ"


@pytest.fixture
def audited(dozen: Bench) -> AuditState:
    from commission.audit.choose import Selection, population

    found = population(dozen.store, Selection())
    jobs = tuple(line.job for line in found.lines)
    order = Order("Second quarter", "ben", Selection(), "", jobs, found.digest)
    return Checking(dozen, order).go(lambda _: None, lambda: False)


def number_of(state: AuditState, check: str, job: str) -> int:
    return next(
        number for number, one in state.findings.items() if (one.check, one.job) == (check, job)
    )


@pytest.fixture
def walk(until: Any) -> Any:
    async def opened(pilot: Any, bench: Bench, state: AuditState, job: str, number: int) -> Walk:
        await until(pilot, lambda: pilot.app.bench is not None, "the bench")
        screen = Walk(bench, state, job, number)
        pilot.app.push_screen(screen)
        await until(pilot, lambda: screen._walked is not None, "the job")
        await pilot.pause()
        return screen

    return opened


@pytest.mark.parametrize("size", SIZES, ids=IDS)
async def test_the_walk_begins_where_the_finding_rests_and_goes_on_to_the_next(
    dozen: Bench, audited: AuditState, app_on: Any, walk: Any, snapshot: Any,
    size: tuple[int, int],
) -> None:  # fmt: skip
    number = number_of(audited, "short-steps", TYPED_LATER)
    one = audited.findings[number]
    app = app_on()
    async with app.run_test(size=size) as pilot:
        screen = await walk(pilot, dozen, audited, TYPED_LATER, number)
        assert screen.at == one.seq - 1
        text = snapshot(app, f"audit-walk-{size[0]}x{size[1]}")
        assert "came too soon" in text
        await pilot.press("f4")
        await pilot.pause()
        places = sorted(by_entry(audited.findings.items(), TYPED_LATER))
        assert screen.at + 1 == places[places.index(one.seq) + 1]
        await pilot.press("f3")
        await pilot.pause()
        assert screen.at == one.seq - 1
        await pilot.press("down")
        await pilot.pause()
        assert screen.at == one.seq


@pytest.mark.parametrize("size", SIZES, ids=IDS)
async def test_a_record_that_was_changed_is_walked_with_a_warning(
    dozen: Bench, audited: AuditState, app_on: Any, walk: Any, snapshot: Any,
    size: tuple[int, int],
) -> None:  # fmt: skip
    number = number_of(audited, "whole", TAMPERED)
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await walk(pilot, dozen, audited, TAMPERED, number)
        text = snapshot(app, f"audit-walk-changed-{size[0]}x{size[1]}")
        assert "NOT WHOLE from entry 7 on" in text
        assert "UNSOUND" in text


async def test_a_remark_in_the_walk_stands_in_the_audit_and_before_its_entry(
    dozen: Bench, audited: AuditState, app_on: Any, walk: Any, until: Any, shown: Any
) -> None:
    number = number_of(audited, "unsigned", UNSIGNED)
    told: list[AuditState] = []
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await walk(pilot, dozen, audited, UNSIGNED, number)
        screen._then = told.append
        await pilot.press("f2")
        await pilot.pause()
        await pilot.press(*"seen", "enter")
        await until(pilot, lambda: bool(told), "the remark")
        assert app.screen is screen
        assert "!R" in shown(app)
    assert audited.opened is not None
    remark = AuditBook(dozen).read(audited.opened.audit).remarks[0]
    assert (remark.job, remark.about, remark.finding, remark.text) == (UNSIGNED, 1, number, "seen")


async def test_a_signature_is_shown_with_who_and_as_what(
    dozen: Bench, audited: AuditState, app_on: Any, walk: Any, snapshot: Any
) -> None:
    job = next(line.job for line in dozen.jobs() if line.procedure == "release-alone")
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, dozen, audited, job, 0)
        await pilot.press("end")
        await pilot.pause()
        text = snapshot(app, "audit-walk-signed-80x24")
        assert "signed as released by cleo" in " ".join(text.split())
        assert "1 signature good" in text


def test_every_answer_of_an_honest_job_is_judged_the_same_today(dozen: Bench) -> None:
    walked = read_walked(dozen.store, "20300107-BCDF", AS_OF)
    answers = [at for at, one in enumerate(walked.entries) if one.kind == "answered"]
    assert answers
    said = {judged_today(walked, at) for at in answers}
    assert all(each.startswith("the same") for each in said), said


def test_a_verdict_that_does_not_follow_is_told_apart(dozen: Bench) -> None:
    walked = read_walked(dozen.store, "20300107-BCDF", AS_OF)
    at = next(n for n, one in enumerate(walked.entries) if one.step == "chain_slack"
              and one.kind == "answered")  # fmt: skip
    entry = walked.entries[at]
    parts = {"": {"value": {"typed": "90", "unit": "mm"}}}
    changed = replace(entry, body={**entry.body, "parts": parts})
    entries = (*walked.entries[:at], changed, *walked.entries[at + 1 :])
    said = judged_today(replace(walked, entries=entries), at)
    assert said.startswith("DIFFERENT: today its readings give fail")


def test_every_entry_of_every_kind_has_a_line_and_a_detail(
    dozen: Bench, add_job: Any, audited: AuditState
) -> None:
    add_job(dozen, "20310508-ZZZX", slug="controller-exchange")
    for job in ("20310508-ZZZX", "20300111-BCDH", TAMPERED):
        walked = read_walked(dozen.store, job, AS_OF)
        for at, entry in enumerate(walked.entries):
            row = cells(walked, at, {}, audited, wide=True)
            assert row[1] == str(entry.seq)
            words = {one.word for one in detail(walked, at, {}, audited)}
            assert {"By", "When"} <= words


def test_a_long_job_is_read_quickly_and_its_last_entry_told_in_no_time(
    dozen: Bench, add_job: Any, audited: AuditState
) -> None:
    add_job(dozen, "20310508-ZZZX", slug="controller-exchange")
    walked = read_walked(dozen.store, "20310508-ZZZX", AS_OF)
    start = time.perf_counter()
    for at in range(len(walked.entries)):
        cells(walked, at, {}, audited, wide=True)
    listed = time.perf_counter()
    detail(walked, len(walked.entries) - 1, {}, audited)
    assert listed - start < 0.001 * len(walked.entries)
    assert time.perf_counter() - listed < 0.25


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0.0, "+0.0 s"), (9.94, "+9.9 s"), (59.0, "+59 s"), (125.0, "+2 min 05"),
     (11_400.0, "+3 h 10"), (187_200.0, "+2 d 04 h"), (-61.0, "-1 min 01")],
)  # fmt: skip
def test_lengths_of_time_are_short(seconds: float, said: str) -> None:
    assert lasted(seconds) == said


def test_a_correction_says_what_it_replaces_and_a_reading_what_it_was_read_with(
    dozen: Bench, audited: AuditState
) -> None:
    walked = read_walked(dozen.store, "20300107-BCDF", AS_OF)
    at = next(n for n, one in enumerate(walked.entries) if one.step == "chain_slack"
              and one.kind == "answered")  # fmt: skip
    entry = walked.entries[at]
    cited = {"id": "t-2", "label": "steel tape", "serial": "0815", "due": "2031-01-31",
             "state": "overdue"}  # fmt: skip
    parts = {"": {"value": {"typed": "31", "unit": "mm", "instrument": cited}}}
    body = {**entry.body, "parts": parts, "replaces": 7, "reason": "misread"}
    entries = (*walked.entries[:at], replace(entry, kind="corrected", body=body))
    told = detail(replace(walked, entries=entries), at, {}, audited)
    said = {one.word: one.text for one in told}
    assert said["Typed"] == "31 mm"
    assert said["Instead of"] == "entry 7: misread"
    assert said["Read with"] == "t-2 steel tape, serial 0815, overdue, due 2031-01-31"


def test_a_body_that_no_tool_of_ours_writes_is_told_and_not_stumbled_over(
    dozen: Bench, audited: AuditState
) -> None:
    walked = read_walked(dozen.store, "20300107-BCDF", AS_OF)
    odd = replace(walked.entries[6], kind="answered", body={"parts": [1], "verdict": None})
    entries = (*walked.entries[:6], odd)
    told = detail(replace(walked, entries=entries), 6, {}, audited)
    assert any("no tool of ours writes" in one.text for one in told)
    assert cells(replace(walked, entries=entries), 6, {}, audited, wide=False)


async def test_a_job_that_went_on_since_the_audit_is_said_to_have(
    dozen: Bench, audited: AuditState, app_on: Any, walk: Any, shown: Any
) -> None:
    assert audited.opened is not None
    jobs = tuple({**one, "entries": int(one["entries"]) - 2} for one in audited.opened.jobs)
    before = replace(audited, opened=replace(audited.opened, jobs=jobs))
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await walk(pilot, dozen, before, "20300107-BCDF", 0)
        assert "It had 20 when it was audited" in shown(app)
