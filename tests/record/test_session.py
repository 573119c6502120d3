"""Working on one job: what is recorded is durable, chained, legal, and one writer's."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING

import pytest

from commission.errors import (
    BusyError,
    CommissionError,
    DamagedError,
    IllegalEntryError,
    ProcedureError,
    RefusedError,
    StoreError,
)
from commission.job import moves
from commission.job.entry import Draft
from commission.procedure import load
from commission.record.bench import JOB_ID, Bench
from commission.record.chain import verify
from commission.record.clocks import to_text
from commission.record.line import digest_of, parse

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.record.conftest import Work


def test_start_records_the_procedure_it_runs(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        assert JOB_ID.fullmatch(session.job)
        (line,) = bench.lines(session.job)
        entry = parse(line)
        assert entry.kind == "opened"
        assert entry.body["procedure"]["text"] == work.loaded.text
        assert entry.body["procedure"]["digest"] == work.loaded.digest
        assert entry.body["practice"] is False
        assert session.head == digest_of(line)
        assert session.recent(5) == (entry,)


def test_answer_is_in_the_store_when_record_returns(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        work.answer(session, {"value": "54.0"})
        with work.open() as other:
            lines = list(other.lines(session.job))
        assert parse(lines[-1]).body["parts"][""]["value"] == {"typed": "54.0", "unit": "V"}
        assert verify(lines, stream=session.job) == session.head


def test_resumed_job_stands_as_it_was_left(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        work.answer(session, {"value": "54.0"})
        left = session.state
    with bench.resume(session.job) as again:
        assert again.state == left
        assert again.head == session.head
        assert again.recent(1) == session.recent(1)
    assert bench.look(session.job) == left


def test_jobs_lists_what_the_entries_say(work: Work, bench: Bench, job: str) -> None:
    (line,) = bench.jobs()
    assert (line.job, line.bike, line.title) == (job, "FR-001 · Mule", "Small job")
    assert (line.done, line.total, line.seq) == (4, 4, len(list(bench.lines(job))))
    assert line.practice is False
    work.hands.wait(1)
    with work.start(bench, practice=True) as session:
        first, second = bench.jobs()
        assert (first.job, first.practice, first.status) == (session.job, True, "open")
        assert first.step_title == "Measure the pack voltage"
        assert second.job == job


def test_illegal_entry_leaves_nothing_behind(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        before, head = session.state, session.head
        good = moves.submit(before, "pack", {"value": "54.0"}, "Ada", session.now())
        with pytest.raises(IllegalEntryError):
            session.record([*good, Draft("answered", "Ada", "cover", 1, {"parts": {}})])
        with pytest.raises(IllegalEntryError, match="nothing was recorded"):
            session.record([Draft("noted", "Ada", body={"grade": "", "text": "\udcff"})])
        assert (session.state, session.head) == (before, head)
        assert len(list(bench.lines(session.job))) == 1
        assert session.record(good).seq == 2


def test_no_drafts_write_nothing(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        assert session.record([]) is session.state
        assert session.settle() is session.state


def test_clock_set_back_is_recorded_first_and_orders_nothing_anew(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        work.hands.wait(5)
        work.hands.us -= 3_600_000_000
        work.answer(session, {"value": "54.0"})
        jump, answer = session.recent(2)
        assert (jump.kind, answer.kind) == ("clock_jump", "answered")
        assert jump.body == {"wall_s": -3575.0, "monotonic_s": 25.0}
        assert session.state.jumps == 1
        assert verify(bench.lines(session.job), stream=session.job) == session.head
        work.answer(session, {"limit": "25"})
        assert session.recent(1)[0].kind == "answered"


def test_second_session_is_refused_and_told_who_holds_the_job(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        since = to_text(work.hands.us)
        with work.open() as other:
            with pytest.raises(BusyError, match=rf"by process \d+ on .+ since {since}"):
                other.resume(session.job)
            assert other.look(session.job) == session.state
        work.answer(session, {"value": "54.0"})
    with bench.resume(session.job) as again:
        assert again.state.seq == 2


def test_note_of_a_dead_holder_does_not_block(work: Work, bench: Bench, job: str) -> None:
    (work.path.with_name("bench.db.locks") / f"{job}.lock").write_text('{"pid": 1}')
    bench.resume(job).close()


def test_writer_who_lost_the_race_is_refused_by_the_store(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        line = next(iter(bench.lines(session.job)))
        with work.open() as other:
            other.store.append(session.job, 2, [b"somebody else's"], None)
        before = session.state
        with pytest.raises(BusyError, match="written to this record first"):
            work.answer(session, {"value": "54.0"})
        assert session.state == before
        assert list(bench.lines(session.job)) == [line, b"somebody else's"]


def test_closed_session_records_nothing(work: Work, bench: Bench) -> None:
    session = work.start(bench)
    session.close()
    session.close()
    with pytest.raises(RefusedError, match="given back"):
        work.answer(session, {"value": "54.0"})


@pytest.mark.parametrize("job", ["", "20260101-ZZZZ", "../../etc", "x" * 500])
def test_unknown_job_is_refused_by_name(bench: Bench, job: str) -> None:
    for act in (bench.resume, bench.look):
        with pytest.raises(RefusedError, match="There is no job"):
            act(job)


def test_procedure_with_errors_opens_no_job(bench: Bench) -> None:
    with pytest.raises(ProcedureError, match="has errors"):
        bench.start(load.loads("procedure: 7"), {"frame": "F"}, {"Ada": ("technician",)}, "Ada")
    assert bench.jobs() == ()


def test_taken_id_is_not_used_again(work: Work) -> None:
    letters = iter(["BCDF", "BCDF", "GHJK"])
    clocks = work.hands.clocks()
    with Bench.open(work.path, "b", clocks=clocks, letters=lambda: next(letters)) as bench:
        first, second = work.start(bench), work.start(bench)
        assert first.job.endswith("-BCDF")
        assert second.job.endswith("-GHJK")
        first.close()
        second.close()


def test_changed_line_is_named_when_the_job_is_opened(
    bench: Bench, job: str, tamper: Callable[[str], None]
) -> None:
    tamper("UPDATE entry SET line = replace(CAST(line AS TEXT), '54.0', '54.1') WHERE seq = 2")
    for act in (bench.resume, bench.look):
        with pytest.raises(DamagedError, match="entry 2: chain"):
            act(job)
    assert len(list(bench.lines(job))) >= 5
    assert bench.jobs()[0].job == job


def test_recent_reads_the_store_for_more_than_is_at_hand(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        for number in range(210):
            session.record([moves.note(session.state, f"remark {number}", "", "Ada")])
        assert [entry.seq for entry in session.recent(211)] == list(range(1, 212))
        assert [entry.seq for entry in session.recent(3)] == [209, 210, 211]
        assert session.recent(0) == ()
        assert len(list(session.lines())) == 211


def test_attachment_is_kept_once_by_its_content(work: Work, bench: Bench, tmp_path: Path) -> None:
    photo = tmp_path / "plate.jpg"
    photo.write_bytes(b"abc")
    with work.start(bench) as session:
        given = session.attach(photo)
        assert session.attach(str(photo)) == given
    # FIPS 180-2, appendix B.1: the digest of "abc".
    sha256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert given == {"name": "plate.jpg", "sha256": sha256, "size": 3}
    kept = [path for path in (tmp_path / "bench.db.attachments").rglob("*") if path.is_file()]
    assert [path.name for path in kept] == [sha256]
    assert kept[0].read_bytes() == b"abc"


def test_what_cannot_be_attached_leaves_nothing(work: Work, bench: Bench, tmp_path: Path) -> None:
    large = tmp_path / "large.bin"
    with large.open("wb") as file:
        file.truncate(50 * 1024 * 1024 + 1)
    with work.start(bench) as session:
        for path, said in (
            (tmp_path / "missing.jpg", "does not exist"),
            (tmp_path, "is a folder"),
            (large, "larger than 50 MB"),
        ):
            with pytest.raises(StoreError, match=said):
                session.attach(path)
    assert not [path for path in (tmp_path / "bench.db.attachments").rglob("*") if path.is_file()]


def test_body_is_folded_as_it_will_be_read_again(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        work.do_all(session)
        assert bench.look(session.job) == session.state
        assert json.loads(next(iter(session.lines())))["body"]["people"] == [
            {"name": "Ada", "roles": ["technician"]},
            {"name": "Lin", "roles": ["lead"]},
        ]


def test_state_is_untouched_by_a_full_disk(work: Work, bench: Bench) -> None:
    with work.start(bench) as session:
        before, head, jobs = session.state, session.head, bench.jobs()
        with bench.store._engine.connect() as connection:  # type: ignore[attr-defined]
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
        note = Draft("noted", "Ada", body={"grade": "", "text": "x" * 100_000})
        with pytest.raises(StoreError, match=r"disk is full.*safe") as refusal:
            session.record([note])
        assert refusal.value.__cause__ is not None
        assert (session.state, session.head, bench.jobs()) == (before, head, jobs)
        with bench.store._engine.connect() as connection:  # type: ignore[attr-defined]
            connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 1000}")
        assert session.record([note]).seq == before.seq + 1


def test_every_refusal_has_advice_a_person_can_follow(work: Work, bench: Bench) -> None:
    with work.start(bench) as session, pytest.raises(CommissionError) as refusal:
        bench.resume(session.job)
    assert refusal.value.hint
    assert dataclasses.is_dataclass(session.state)
