"""The job's screen: one step at a time, recorded before it is said, and never lost."""

from __future__ import annotations

from typing import Any

import pytest
from textual import events

from commission.job import moves
from commission.tui.job.card import StepCard
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.fields import FieldsArea
from commission.tui.job.gate import DoneArea
from commission.tui.job.mode import Kind

CONFIRM = """
id: stand
kind: confirm
title: Put the bike on the stand
why: The wheel turns later.
how: Both feet of the stand on level ground.
"""
MEASURE = """
id: pack
kind: measure
title: Measure the pack voltage
unit: V
limits: {min: "42[V]", max: "58.8[V]"}
caution:
  signal: DANGER
  hazard: The pack is live.
  consequence: A short circuit burns.
  avoidance: Insulated probes and nothing metal on the hands.
"""
SEEN = """
id: wheel
kind: observe
title: Open the throttle a little
options: [turns forward, turns backward]
expected: turns forward
"""
PARTS = """
id: parts
kind: identify
title: Read the numbers
fields:
  - {id: frame, label: frame number}
  - {id: unit, label: controller number}
"""


async def test_a_step_is_confirmed_by_space_and_enter_only(session: Any, show: Any) -> None:
    job = session(CONFIRM, SEEN)
    async with show(job) as (app, pilot):
        await pilot.press("enter", "enter")
        assert job.kinds() == ["opened"]
        assert "NOT TAKEN: press Space first" in app.text()
        await pilot.press("space", "x", "enter")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "answered"]
        assert app.job.mode.planned.id == "wheel"


async def test_what_cannot_be_done_needs_a_reason(session: Any, show: Any, typing: Any) -> None:
    job = session(CONFIRM)
    async with show(job) as (app, pilot):
        await pilot.press("backspace", "enter", "enter")
        assert "say why it cannot be done" in app.text()
        await typing(pilot, "no stand", "enter")
        assert job.given("stand") == {"value": False, "reason": "no stand"}
        assert "It could not be done: no stand" in app.text()


async def test_a_caution_stands_above_and_keeps_the_input_away(session: Any, show: Any) -> None:
    job = session(MEASURE)
    async with show(job) as (app, pilot):
        text = app.text()
        assert text.index("DANGER") < text.index("Measure the pack voltage")
        for words in ("The pack is live.", "A short circuit burns.", "Insulated probes"):
            assert words in text
        await pilot.press("5", "0", "enter", "enter")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "acknowledged"]
        assert isinstance(app.job.area, FieldsArea)


async def test_a_bare_enter_never_passes_an_observation(session: Any, show: Any) -> None:
    job = session(SEEN, CONFIRM)
    async with show(job) as (app, pilot):
        await pilot.press("enter", "space", "enter")
        assert job.kinds() == ["opened"]
        await pilot.press("2")
        assert "Picked: 2 turns backward" in app.text()
        await pilot.press("x", "enter")
        assert job.kinds() == ["opened"]
        await pilot.press("down", "enter")
        assert job.given("wheel") == {"value": "turns forward"}


async def test_why_is_shown_and_hidden(session: Any, show: Any) -> None:
    async with show(session(CONFIRM)) as (app, pilot):
        assert "The wheel turns later." not in app.text()
        await pilot.press("f6")
        assert "The wheel turns later." in app.text()
        await pilot.press("f6")
        assert "The wheel turns later." not in app.text()


async def test_a_failed_step_says_so_and_what_to_do_next(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(SEEN, CONFIRM)
    async with show(job) as (app, pilot):
        await pilot.press("2", "enter")
        text = app.text()
        assert "FAILED. Seen: turns backward; expected: turns forward." in text
        assert "attempt 2" in text
        await pilot.press("2", "enter")
        assert app.job.mode.kind is Kind.STOPPED
        assert "STOPPED" in app.text()
        await pilot.press("enter")
        await typing(pilot, "Ada", "enter")
        await typing(pilot, "try again", "enter")
        assert "Ada is no lead. With this role: Cleo." in app.text()
        assert "resumed" not in job.kinds()


async def test_a_lead_lets_a_stopped_job_go_on(session: Any, show: Any, typing: Any) -> None:
    job = session(SEEN)
    for _ in range(2):
        job.submit("wheel", value="turns backward")
    async with show(job) as (app, pilot):
        await pilot.press("enter")
        assert "Known as lead: Cleo" in app.text()
        await pilot.press("equals_sign", "enter")
        await pilot.press("enter")
        assert "NOT TAKEN" in app.text()
        await typing(pilot, "wheel was held", "enter")
        assert job.kinds()[-1] == "resumed"
        assert isinstance(app.job.area, ChoiceArea)


async def test_a_full_disk_says_that_nothing_was_recorded_and_keeps_what_was_typed(
    session: Any, show: Any, typing: Any
) -> None:
    job = session("id: pack\nkind: measure\ntitle: Measure the pack\nunit: V", CONFIRM)
    async with show(job) as (app, pilot):
        job.fails = True
        await typing(pilot, "50.40", "enter")
        assert "Nothing was recorded." in app.text()
        assert "Make room on it." in app.text()
        await pilot.press("enter")
        job.fails = False
        assert app.job.area.typed == {"value": "50.40"}
        await pilot.press("enter")
        assert job.given("pack") == {"value": {"typed": "50.40", "unit": "V"}}


async def test_leaving_is_recorded_and_the_last_steps_are_read_again(
    session: Any, show: Any
) -> None:
    job = session(CONFIRM, SEEN)
    async with show(job) as (app, pilot):
        await pilot.press("space", "enter", "f10")
    assert job.kinds() == ["opened", "answered", "left"]
    assert job.closed
    async with show(job) as (app, pilot):
        assert job.kinds()[-1] == "returned"
        text = app.text()
        assert "You left here. The last steps are shown again." in text
        assert "Put the bike on the stand" in text
        await pilot.press("enter")
        assert app.job.mode.kind is Kind.REREAD
        await pilot.press("space", "enter")
        assert job.kinds()[-1] == "reread"
        assert app.job.mode.planned.id == "wheel"


async def test_leaving_asks_first_where_something_is_typed(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(PARTS)
    async with show(job) as (app, pilot):
        await typing(pilot, "F12", "f10")
        assert "not recorded yet" in app.text()
        await pilot.press("enter")
        assert app.job.area.typed == {"frame": "F12"}
        await pilot.press("f10", "down", "enter")
    assert job.kinds() == ["opened", "left"]


async def test_looking_at_another_step_keeps_what_was_typed(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(CONFIRM, PARTS)
    job.submit("stand", value="done")
    async with show(job) as (app, pilot):
        await typing(pilot, "F1", "f2", "home", "enter")
        assert app.job.mode.kind is Kind.LOOK
        assert "Passed. Done. By Ada, entry 2." in app.text()
        await pilot.press("enter")
        assert app.job.area.typed == {"frame": "F1"}


async def test_an_earlier_answer_is_corrected_with_a_reason(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(SEEN, CONFIRM)
    job.submit("wheel", value="turns forward")
    async with show(job, (120, 40)) as (app, pilot):
        await pilot.press("f2", "up", "enter", "f7")
        assert "Correct an answer" in app.text()
        await pilot.press("2", "enter", "enter")
        assert "NOT TAKEN" in app.text()
        await typing(pilot, "misread", "enter")
        entry = job.entries[-1]
        assert (entry.kind, entry.body["reason"]) == ("corrected", "misread")
        assert job.given("wheel") == {"value": "turns backward"}


async def test_what_rests_on_a_corrected_answer_says_why_it_is_due_again(
    session: Any, show: Any
) -> None:
    limits = 'limits: {max: "series * 4.2[V]"}'
    job = session(
        f"id: pack\nkind: measure\ntitle: Measure the pack\nunit: V\n{limits}",
        CONFIRM,
        facts="\n  - {id: series, label: cells in series, type: integer}",
    )
    job.submit("series", value="14")
    job.submit("pack", value="50")
    drafts = moves.correct(job.state, "series", {"": {"value": "13"}}, "recount", "Ada", job.now())
    job.record(drafts)
    async with show(job) as (app, _pilot):
        text = app.text()
        assert "Due again because series was corrected in entry 4" in text
        assert "Last" in text
        assert "at most 54.60 V" in text


async def test_the_frame_says_job_bike_procedure_practice_and_person(
    session: Any, show: Any
) -> None:
    async with show(session(CONFIRM, practice=True)) as (app, _pilot):
        header = app.text().splitlines()[0]
        for words in ("20310506-BCDF", "TRY-0001", "trial r3", "PRACTICE", "Ada"):
            assert words in header
        assert "Step 1 · 0/1 done · saved 12:08" in app.text()


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (60, 18)])
async def test_the_input_is_in_sight_at_every_size(
    session: Any, show: Any, size: tuple[int, int]
) -> None:
    job = session(MEASURE)
    async with show(job, size) as (app, pilot):
        await pilot.press("space", "enter")
        region = app.job.area.input.region
        assert region.height == 3
        assert region.bottom <= size[1] - 3
        assert len(app.text().splitlines()[-1]) < size[0]


async def test_the_route_folds_away_and_comes_over_the_card(session: Any, show: Any) -> None:
    job = session(CONFIRM, SEEN)
    async with show(job) as (app, pilot):
        assert "First stage   " not in app.text().splitlines()[1]
        await pilot.press("f2")
        assert "1 Put the bike on the stand" in app.text()
        assert "now" in app.text()
        await pilot.press("f2")
        assert isinstance(app.job.area, DoneArea)
        assert app.focused is app.job.area.mark


async def test_steps_are_found_by_a_few_letters(session: Any, show: Any) -> None:
    job = session(CONFIRM, SEEN)
    async with show(job) as (app, pilot):
        await pilot.press("f9", "t", "h", "r", "o", "enter")
        await pilot.pause()
        assert app.job.mode.kind is Kind.LOOK
        assert isinstance(app.job._card, StepCard)
        assert app.job._card.planned.id == "wheel"


async def test_a_scanner_fills_one_field_after_another_and_nothing_of_the_next_step(
    session: Any, show: Any
) -> None:
    job = session(PARTS, CONFIRM)
    async with show(job) as (app, pilot):
        for character in "F-12\rC-99\r \r \r":
            key = {"\r": "enter", " ": "space", "-": "minus"}.get(character, character)
            app.post_message(events.Key(key, character))
        await pilot.pause()
        await pilot.pause(0.1)
        assert job.given("parts") == {"frame": "F-12", "unit": "C-99"}
        assert job.kinds() == ["opened", "answered"]


async def test_text_of_a_procedure_is_never_markup_or_an_escape_sequence(
    session: Any, show: Any
) -> None:
    nasty = CONFIRM.replace("Put the bike on the stand", '"Put [/x] [red]it[/red] \\e[31m up"')
    job = session(nasty, SEEN)
    async with show(job, (120, 40)) as (app, pilot):
        assert "Put [/x] [red]it[/red] ?[31m up" in app.text()
        await pilot.press("space", "enter", "f4")
        assert "\x1b" not in app.text()


async def test_notes_are_added_graded_and_closed(session: Any, show: Any, typing: Any) -> None:
    job = session(CONFIRM)
    async with show(job) as (app, pilot):
        await pilot.press("f5", "f5")
        await typing(pilot, "loose cable", "enter")
        await pilot.press("a", "enter")
        assert [note.grade for note in job.state.notes.values()] == ["A"]
        assert "1 open item, 1 grade A" in app.text()
        await pilot.press("f5", "enter")
        await typing(pilot, "tightened", "enter")
        assert all(note.closed for note in job.state.notes.values())


async def test_a_hold_takes_another_person_than_the_doer(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(CONFIRM.strip() + "\nhold: witness", SEEN)
    job.submit("stand", value="done")
    async with show(job) as (app, pilot):
        assert "HOLD POINT: another witness confirms this" in app.text()
        await pilot.press("enter")
        await typing(pilot, "ada", "enter")
        await pilot.press("y", "enter", "enter")
        assert "ada did this step and cannot confirm it" in app.text()
        assert job.kinds()[-1] == "answered"
        await pilot.press("up", "up", "ctrl+u", "equals_sign", "enter", "enter", "enter")
        assert job.kinds()[-1] == "hold_confirmed"
        assert job.entries[-1].by == "Ben"


async def test_a_new_witness_joins_by_name(session: Any, show: Any, typing: Any) -> None:
    job = session(CONFIRM.strip() + "\nhold: witness", SEEN)
    job.submit("stand", value="done")
    async with show(job) as (_app, pilot):
        await pilot.press("enter")
        await typing(pilot, "Dora", "enter")
        await pilot.press("y", "enter", "enter")
        assert job.kinds()[-2:] == ["joined", "hold_confirmed"]


async def test_who_is_refused_does_not_join_the_job_all_the_same(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(SEEN.strip() + "\non_fail: {then: concession}", CONFIRM)
    job.submit("wheel", value="turns backward")
    async with show(job) as (app, pilot):
        await pilot.press("enter")
        await typing(pilot, "Dora", "enter")
        await typing(pilot, "direction", "enter")
        await typing(pilot, "2001-01-01", "enter")
        await typing(pilot, "test bench", "enter")
        assert "in the past" in app.text()
        assert "joined" not in job.kinds()
        await pilot.press("up", "ctrl+u")
        await typing(pilot, "2031-06-01", "enter")
        await pilot.press("enter")
        assert job.kinds()[-2:] == ["joined", "conceded"]


async def test_who_releases_too_early_does_not_join_the_job(
    session: Any, show: Any, typing: Any
) -> None:
    job = session("id: out\nkind: sign_off\ntitle: Release\nmeaning: released\nrole: lead", CONFIRM)
    job.record([moves.note(job.state, "brake lever loose", "A", "Ada")])
    async with show(job) as (app, pilot):
        await pilot.press("ctrl+u")
        await typing(pilot, "Dora", "enter")
        await typing(pilot, "released", "enter")
        assert "NOT TAKEN" in app.text()
        assert "joined" not in job.kinds()


async def test_a_concession_names_who_what_until_when_and_why(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(SEEN.strip() + "\non_fail: {then: concession}", CONFIRM)
    job.submit("wheel", value="turns backward")
    async with show(job) as (app, pilot):
        await pilot.press("enter", "equals_sign", "enter")
        await typing(pilot, "direction", "enter")
        await typing(pilot, "2001-01-01", "enter")
        await typing(pilot, "test bench", "enter")
        assert "in the past" in app.text()
        await pilot.press("up", "ctrl+u")
        await typing(pilot, "2031-06-01", "enter")
        await pilot.press("enter")
        assert job.kinds()[-1] == "conceded"
        assert job.entries[-1].by == "Cleo"
