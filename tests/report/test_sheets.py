"""What each sheet says of a job: as left, open, unsigned, not released; and never a permission."""

from __future__ import annotations

import base64
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import RefusedError
from commission.job import moves
from commission.job.entry import Digest
from commission.job.ledger import ledger
from commission.job.signature import Signature, fingerprint, public_of
from commission.report.document import (
    Blanks,
    Document,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Points,
    Table,
)
from commission.report.figures import angles, cycles, sweep, timeline
from commission.report.kinds import HANDOVER, KINDS, RECORD, RESTORE, STATE, document_of, kind_of
from commission.report.sheets.as_left import fate_words
from commission.report.times import in_table

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.report.subject import Subject


def table(document: Document, name: str) -> Table:
    return next(block for block in document.blocks if isinstance(block, Table) and block.id == name)


def words(document: Document) -> str:
    said = []
    for block in document.blocks:
        match block:
            case Heading() | Paragraph():
                said.append(block.text)
            case Facts():
                said += [f"{label}: {value}" for label, value in block.rows]
            case Table():
                said += [" | ".join(row) for row in block.rows] or [block.empty]
            case _:
                pass
    return "\n".join(said)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_every_sheet_says_practice_and_that_it_is_no_permission(
    kind: Any, released: Subject
) -> None:
    document = document_of(kind, released)

    assert document.practice
    assert document.banner.startswith("PRACTICE")
    assert "no certificate and no permission" in words(document)
    assert document.head == released.head


def test_the_handover_sheet_has_every_setting_as_left(released: Subject) -> None:
    rows = {row[0]: row for row in table(document_of(HANDOVER, released), "as_left").rows}

    for line in ledger(released.state):
        assert rows[line.label][2] == (line.left[-1] if line.left else line.found)
        assert rows[line.label][3] == fate_words(line)
    assert rows["direction of turning"][1:] == ("normal", "reversed", "held in 3 power cycles")


def test_the_handover_sheet_says_limits_as_left_and_that_names_are_unsigned(
    released: Subject,
) -> None:
    document = document_of(HANDOVER, released)

    assert "Speed limit set: 55 km/h (as left)" in words(document)
    assert "Declared use: closed ground" in words(document)
    signatures = table(document, "signatures").rows
    assert {row[-1] for row in signatures} == {"unsigned"}
    assert {row[3].partition(",")[0] for row in signatures} == {"done", "released", "confirmed"}
    assert "Bench unsigned: nobody was registered" in words(document)


def test_an_open_job_says_on_each_page_that_it_is_not_released(half: Subject) -> None:
    document = document_of(HANDOVER, half)

    assert "NOT RELEASED" in document.banner
    assert "Open, " in words(document)
    assert "not proved as they stand" in words(document)


def test_the_state_sheet_has_each_step_left_with_blanks_and_its_limits(half: Subject) -> None:
    document = document_of(STATE, half)
    text = words(document)

    left = [one for one in document.blocks if isinstance(one, Table) and one.id.startswith("left_")]
    assert {f"left_{one.id}" for one in half.state.plan.steps[half.state.frontier :]
            if one.remedy_of is None} == {one.id for one in left}  # fmt: skip
    assert all(row[2] == "" for one in left for row in one.rows)
    assert "HOLD: confirmed by another person, a witness" in text
    assert any(isinstance(block, Blanks) for block in document.blocks)
    done = [row[0] for row in table(document, "done").rows]
    assert len(done) == sum(
        1
        for one in half.state.steps.values()
        if one.status.settled and one.status != "not needed yet"
    )


def test_a_step_due_again_stands_among_those_left_with_its_reason(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("ready_to_ride")
    parts = {"": {"distance": "6.045", "turns": "3"}}
    why = "the tape was read at the wrong mark"
    job.record(moves.correct(job.state, "rollout", parts, why, "Rika Holt", job.now()))

    subject = subject_of_lines(lines_of(job.entries))

    assert "due again because rollout was corrected" in words(document_of(STATE, subject))
    replaced = job.entries[-1].body["replaces"]
    assert f"replaces entry {replaced}: {why}" in words(document_of(RECORD, subject))


def test_an_open_item_of_grade_a_blocks_and_says_so(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("declared_use")
    job.record([moves.note(job.state, "brake lever cracked", "A", "Rika Holt")])

    document = document_of(STATE, subject_of_lines(lines_of(job.entries)))

    assert "Blocks the release: open item" in words(document)
    items = table(document, "open_items")
    assert items.rows[0][:3] == ("A: blocks safe use", "open", "brake lever cracked")
    assert items.loud == {0}


def test_the_restore_sheet_lists_settings_by_group_and_imports_again(released: Subject) -> None:
    document = document_of(RESTORE, released)

    headings = [one.text for one in document.blocks if isinstance(one, Heading) and one.level == 2]
    assert headings[:3] == ["motor", "rotor sensors", "throttle"]
    assert ("speed_limit", "55", "km/h") in document.data.rows
    assert len(document.data.rows) == len(released.state.plan.settings)


def test_the_full_record_has_every_entry_and_every_figure(released: Subject) -> None:
    document = document_of(RECORD, released)

    entries = table(document, "entries").rows
    assert [row[0] for row in entries] == [str(at) for at in range(1, len(released.entries) + 1)]
    titles = [one.title for one in document.blocks if isinstance(one, Figure)]
    assert len(titles) == 4
    assert {part for title in titles for part in ("Time line", "angles", "fitted", "Persistence")
            if part in title} == {"Time line", "angles", "fitted", "Persistence"}  # fmt: skip


def test_the_persistence_matrix_shows_what_reverted_and_that_it_held_later(
    reverted: Subject,
) -> None:
    figure = cycles.figure(reverted)
    assert figure is not None
    assert figure.points is not None
    names = [column.title for column in figure.points.columns]
    rows = {row[0]: row[1:] for row in figure.points.rows}

    assert names == ["setting", "key 1", "key 1, try 2", "key 2, try 2", "cold 1"]
    assert rows["direction of turning"] == (
        "CHANGED: normal", "as before: reversed", "as before: reversed", "as before: reversed"
    )  # fmt: skip
    assert all("CHANGED" not in word for name, row in rows.items() for word in row
               if name != "direction of turning")  # fmt: skip


def test_the_handover_sheet_of_a_reverted_setting_says_that_it_had_not_held(
    reverted: Subject,
) -> None:
    rows = {row[0]: row for row in table(document_of(HANDOVER, reverted), "as_left").rows}

    assert rows["direction of turning"][3] == "held in 3 power cycles, after it had not before"
    assert rows["start-up mode"][3] == "held in 3 power cycles"  # written again, had held as well


def test_sector_angles_give_each_run_and_the_recorded_mean(released: Subject) -> None:
    step: Any = released.state.plan.planned("sensor_detection").step
    figure = angles.figure(released.state, step)

    assert figure is not None
    assert figure.points is not None
    assert len(figure.points.rows) == 3 * 5
    assert "sensor 1: mean 119.8° in 5 runs" in figure.says


def test_the_sweep_shows_its_points_and_the_recorded_line(released: Subject) -> None:
    step: Any = released.state.plan.planned("throttle_sweep").step
    figure = sweep.figure(released.state, step)

    assert figure is not None
    assert figure.points is not None
    assert figure.points.rows[0] == ("0 %", "0.84 V")
    assert "0.03272 V per %" in figure.says


def test_the_time_line_names_long_pauses(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    from datetime import timedelta

    job = walk().until("declared_use")
    job.moment += timedelta(hours=14, minutes=10)
    job.until("bike_on_stand")

    figure = timeline.figure(subject_of_lines(lines_of(job.entries)))

    assert figure is not None
    assert figure.says.endswith("1 long pauses.")
    texts = [getattr(shape, "text", "") for shape in figure.drawing.shapes]
    assert "pause 14 h 10 min" in texts


def test_kinds_are_found_by_peoples_words_and_a_near_miss_is_offered(
    released: Subject, half: Subject
) -> None:
    assert kind_of(None, released) is HANDOVER
    assert kind_of(None, half) is STATE
    assert kind_of("Full  Record", released) is RECORD
    assert kind_of("restore-sheet", released) is RESTORE
    with pytest.raises(RefusedError, match="no sheet called 'handovr'") as refused:
        kind_of("handovr", released)
    assert "Did you mean 'handover sheet'?" in refused.value.hint


def test_a_signature_shows_signer_key_time_and_meaning_and_the_others_stay_unsigned(
    released: Subject,
) -> None:
    public = public_of(bytes(range(32)))
    signed = Signature(
        "released", "mara-quill", Digest(fingerprint(public)), public, 4, Digest("cd" * 32),
        base64.b64encode(bytes(64)).decode(),
    )  # fmt: skip
    place = next(at for at, entry in enumerate(released.entries)
                 if entry.step == "released" and entry.kind == "answered")  # fmt: skip
    entry = released.entries[place]
    made = replace(entry, body={**entry.body, "signature": signed.body()})
    entries = (*released.entries[:place], made, *released.entries[place + 1 :])

    document = document_of(HANDOVER, replace(released, entries=entries, checked=True))

    rows = {row[0]: row for row in table(document, "signatures").rows}
    row = rows.pop(str(entry.seq))
    assert row[1:4] == (in_table(entry.at), "Mara Quill (lead)", "released")
    assert row[-1] == f"mara-quill, key {fingerprint(public)[:16]}…"
    assert {one[-1] for one in rows.values()} == {"unsigned"}
    assert f"{len(rows)} of them are unsigned" in words(document)


def test_a_power_cycle_on_paper_has_each_switching_its_wait_and_every_setting(
    half: Subject,
) -> None:
    document = document_of(STATE, half)

    asked = [row[:2] for row in table(document, "left_key_cycles").rows]
    assert ("cycle 1 of 2: Power is off", "") in asked
    assert ("cycle 2 of 2: Power is on", "after at least 10 s") in asked
    cold = [row[:2] for row in table(document, "left_cold_cycle").rows]
    assert ("Bus voltage [V]", "below 5.000 V") in cold
    again = table(document, "cycles_key_cycles")
    assert [column.title for column in again.columns][2:] == ["key cycle 1", "key cycle 2"]
    written = {half.state.plan.settings[name].label for name, stands in half.state.settings.items()
               if stands.written is not None}  # fmt: skip
    assert {row[0] for row in again.rows} == written
    assert ("direction of turning", "reversed, as written", "", "") in again.rows


def test_paper_says_which_steps_to_come_a_limit_follows_from(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    document = document_of(STATE, subject_of_lines(lines_of(walk().until("series_cells").entries)))

    rows = table(document, "left_fuse_voltage").rows
    assert [row[1] for row in rows] == [
        "follows from “Compute the pack's voltages from its series count”"
    ]
    assert "has no value" not in words(document)
    assert table(document, "left_discharge_wait").rows[1][:2] == (
        "The wait is over",
        "after the time that follows from “Compute how long the capacitors take to discharge”",
    )
    assert len(table(document, "cycles_key_cycles").rows) > 20  # settings not written yet


def test_a_job_closed_without_release_says_why_and_that_nobody_rides(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("key_cycles")
    job.record([moves.abandon(job.state, "the owner took it back", "Mara Quill")])

    document = document_of(HANDOVER, subject_of_lines(lines_of(job.entries)))

    assert "by Mara Quill: the owner took it back" in words(document)
    assert "nobody rides it before the work is finished" in words(document)


def test_the_first_page_says_how_much_is_open(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any, released: Subject
) -> None:
    job = walk().until("declared_use")
    for grade in ("B", "A", ""):
        job.record([moves.note(job.state, "seen", grade, "Rika Holt")])
    job.record([moves.close_note(job.state, job.state.seq - 1, "mended", "Rika Holt")])

    open_ones = document_of(HANDOVER, subject_of_lines(lines_of(job.entries)))

    assert "Still open or conceded: 1 open item" in words(open_ones)
    assert "Still open or conceded: nothing" in words(document_of(HANDOVER, released))


def test_only_a_released_bike_is_handed_over_without_a_warning(released: Subject) -> None:
    assert "nobody rides it" not in words(document_of(HANDOVER, released))


def test_the_owner_reads_what_to_do_when_the_bike_pulls_the_wrong_way(released: Subject) -> None:
    lists = [one for one in document_of(HANDOVER, released).blocks if isinstance(one, Points)]

    assert any("pulls the wrong way" in item and "key off" in item
               for one in lists for item in one.items)  # fmt: skip


def test_each_step_says_its_day_where_a_job_took_more_than_one(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    from datetime import timedelta

    job = walk().until("declared_use")
    job.moment += timedelta(days=1)
    job.until("declared_top_speed")

    record = document_of(RECORD, subject_of_lines(lines_of(job.entries)))

    at = [row[-1] for one in record.blocks if isinstance(one, Table) and one.id == "steps"
          for row in one.rows if row[-1] != "-"]  # fmt: skip
    assert at[0] == "Rika Holt 2031-05-06 08:00:02, entry\u00a02"
    assert at[-1].startswith("Rika Holt 2031-05-07 ")
