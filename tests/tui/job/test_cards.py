"""A card for every kind of step, each made for its work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual import events

from commission.job import moves
from commission.tui.job.calculating import CalculateArea, CalculatedArea
from commission.tui.job.cells import CellsArea
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.fields import FieldsArea
from commission.tui.job.mode import Kind
from commission.tui.job.waiting import WaitArea

if TYPE_CHECKING:
    from pathlib import Path

LAST = "id: last\nkind: confirm\ntitle: Put the tools away"
SETTINGS = """
  - {id: poles, label: pole pairs, type: integer, range: [1, 40], intended: 8}
  - {id: limit, label: current limit, type: quantity, unit: A, equal_within: "1[A]",
     intended: "120[A]"}
  - {id: turning, label: direction, type: choice, choices: [normal, reversed],
     intended: reversed}
"""
READ = "id: found\nkind: read_back\ntitle: Read the settings as found\nsettings: all"
WRITE = "id: written\nkind: write\ntitle: Write the settings\nsettings: [poles, limit, turning]"
CYCLE = """
id: cold
kind: power_cycle
title: Prove the settings by a cold cycle
cycle: cold
cycles: 1
off_for: "60[s]"
below: "5[V]"
observe: [wheel]
"""
WHEEL = """
id: wheel
kind: observe
title: Open the throttle a little
options: [turns forward, turns backward]
expected: turns forward
"""
FOUND = {"poles": "4", "limit": "100 A", "turning": "normal"}
WANTED = {"poles": "8", "limit": "120.0", "turning": "reversed"}


async def test_a_reading_is_echoed_and_placed_between_its_limits(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(
        'id: pack\nkind: measure\ntitle: Measure\nunit: V\nlimits: {min: "42[V]", max: "58[V]"}',
        LAST,
    )
    async with show(job) as (app, pilot):
        await typing(pilot, "50.4")
        text = app.text()
        assert "= 50.4 V, within 42.00 V to 58.00 V" in text
        line = next(line for line in text.splitlines() if "█" in line)
        assert line.index("├") < line.index("█") < line.index("┤")
        await typing(pilot, "", "ctrl+u")
        await typing(pilot, "3,5", "enter")
        assert "has a comma" in app.text()
        assert job.kinds() == ["opened"]
        await typing(pilot, "", "ctrl+u")
        await typing(pilot, "50.40", "enter")
        assert job.given("pack") == {"value": {"typed": "50.40", "unit": "V"}}


async def test_facts_of_each_type_are_asked(session: Any, show: Any, typing: Any) -> None:
    job = session(LAST, facts="""
  - {id: series, label: cells in series, type: integer, range: [10, 32]}
  - {id: lever, label: lever, type: choice, choices: [fitted, none]}
  - {id: fan, label: fan fitted, type: yes_no}
  - {id: colour, label: colour, type: text, optional: true}""")  # fmt: skip
    async with show(job) as (app, pilot):
        await typing(pilot, "14", "enter")
        await pilot.press("2", "enter", "down", "down", "enter", "enter")
        assert job.given("series") == {"value": {"typed": "14", "unit": ""}}
        assert job.given("lever") == {"value": "none"}
        assert job.given("fan") == {"value": False}
        assert job.given("colour") == {}
        assert app.job.mode.planned.id == "last"


async def test_a_table_is_filled_cell_by_cell_and_each_cell_is_recorded_at_once(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(READ, WRITE, settings=SETTINGS)
    async with show(job) as (app, pilot):
        assert isinstance(app.job.area, CellsArea)
        await typing(pilot, "4", "enter")
        assert job.kinds() == ["opened", "part"]
        await typing(pilot, "100 A", "enter")
        await typing(pilot, "1", "enter")
        assert job.kinds()[-1] == "answered"
        await typing(pilot, "7")
        assert "OTHER THAN as intended: 8" in app.text()
        await typing(pilot, "", "enter")
        assert "7 DID NOT TAKE" in app.text()


async def test_a_cell_given_before_is_replaced_with_a_reason(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(READ, settings=SETTINGS)
    async with show(job) as (app, pilot):
        await typing(pilot, "5", "enter", "up")
        await typing(pilot, "4", "enter")
        await pilot.press("equals_sign", "enter")
        entry = job.entries[-1]
        assert (entry.kind, entry.body["reason"]) == ("part", "mistyped")
        assert entry.body["given"]["poles"]["typed"] == "4"
        assert "+  pole pairs" in app.text()


async def test_pasted_lines_are_shown_before_they_count(session: Any, show: Any) -> None:
    job = session(READ, LAST, settings=SETTINGS)
    async with show(job) as (app, pilot):
        app.post_message(events.Paste("poles,4\nlimit,100,A\nturnin,normal\nturning,normal\n"))
        await pilot.pause()
        text = app.text()
        assert "3 values can be taken over." in text
        assert "line 3: 'turnin' is no setting asked for here." in text
        await pilot.press("enter")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "part", "answered"]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("list.csv", "name,value,unit\npoles,4\nlimit,100,A\nturning,normal\n"),
        ("list.json", '{"poles": 4, "limit": "100 A", "turning": "normal"}'),
    ],
)
async def test_settings_come_from_a_file(
    session: Any, show: Any, tmp_path: Path, name: str, content: str
) -> None:
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    job = session(READ, LAST, settings=SETTINGS)
    async with show(job) as (app, pilot):
        await pilot.press("f8")
        app.focused.value = str(path)
        await pilot.press("enter", "space", "enter")
        assert job.kinds()[-1] == "answered"


async def test_a_missing_list_is_said_and_nothing_is_taken(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(READ, settings=SETTINGS)
    async with show(job) as (app, pilot):
        await pilot.press("f8", "enter")
        assert "Type the path of the file first." in app.text()
        await typing(pilot, "/no/such.csv", "enter")
        assert "cannot be read: No such file" in app.text()
        await pilot.press("f10")
        assert isinstance(app.job.area, CellsArea)
        assert job.kinds() == ["opened"]


def written(session: Any) -> Any:
    """Return a job at its cold cycle, everything written and seen."""
    job = session(READ, WRITE, WHEEL, CYCLE, LAST, settings=SETTINGS)
    job.submit("found", **FOUND)
    job.submit("written", **WANTED)
    job.submit("wheel", value="turns forward")
    return job


async def test_a_power_cycle_is_timed_measured_read_back_and_seen_again(
    session: Any, show: Any, typing: Any
) -> None:
    job = written(session)
    async with show(job) as (app, pilot):
        await pilot.press("space", "enter")
        assert type(app.job.area).__name__ == "WaitFieldsArea"
        assert "left of 1:00" in app.text()
        await typing(pilot, "3.1", "enter")
        assert "NOT TAKEN" in app.text()
        job.seconds += 61
        await pilot.press("enter", "space", "enter")
        assert type(app.job.area).__name__ == "CellsArea"
        await typing(pilot, "8", "enter")
        await typing(pilot, "120", "enter")
        assert "120 A held" in app.text()
        await typing(pilot, "normal", "enter")
        assert isinstance(app.job.area, ChoiceArea)
        await pilot.press("1", "enter")
        answer = job.state.steps["cold"].answer
        assert answer.verdict == "fail"
        assert "Last     FAILED" in app.text()


async def test_a_reverted_and_a_drifted_value_are_told_apart(
    session: Any, show: Any, typing: Any
) -> None:
    job = written(session)
    job.submit("cold", value="done")
    job.seconds += 61
    job.submit("cold", value="3")
    job.submit("cold", value="done")
    async with show(job) as (app, pilot):
        await typing(pilot, "4", "enter")
        await typing(pilot, "60", "enter")
        assert "4 REVERTED" in app.text()
        assert "60 A DRIFTED" in app.text()


async def test_a_wait_locks_its_box_until_the_bell(session: Any, show: Any) -> None:
    job = session('id: wait\nkind: dwell\ntitle: Wait for it\nduration: "1.8[s]"', LAST)
    async with show(job) as (app, pilot):
        await pilot.press("space", "enter")
        assert isinstance(app.job.area, WaitArea)
        await pilot.press("space", "enter")
        assert "the time is not over yet" in app.text()
        assert app.rung == 0
        job.seconds += 2
        for _ in range(40):
            await pilot.pause(0.1)
            if app.rung:
                break
        assert "OVER" in app.text()
        await pilot.press("space", "enter")
        assert job.state.steps["wait"].answer.verdict == "pass"


async def test_a_series_shows_statistics_and_a_plot_as_it_grows(
    session: Any, show: Any, typing: Any
) -> None:
    column = '{id: angle, label: sensor, unit: deg, circular: true, range: "10[deg]"}'
    job = session(
        f"id: runs\nkind: series\ntitle: Detect three times\nruns: 3\ncolumns: [{column}]", LAST
    )
    async with show(job) as (app, pilot):
        await typing(pilot, "359", "enter")
        await typing(pilot, "1", "enter")
        text = app.text()
        row = {line.split()[0]: line.split() for line in text.splitlines() if line.split()}
        assert row["mean"][1] in {"0", "360.0"}
        assert row["range"][1] == "2.00"
        assert text.count("●") == 2
        await typing(pilot, "0", "enter")
        assert job.state.steps["runs"].answer.verdict == "pass"


async def test_a_sweep_shows_its_line_as_it_grows(session: Any, show: Any, typing: Any) -> None:
    job = session(
        "id: grip\nkind: sweep\ntitle: Open the grip in steps\n"
        'x: {label: grip, unit: "%"}\ny: {label: signal, unit: V}\n'
        'points: ["0[%]", "50[%]", "100[%]"]\ndeviation: "0.1[V]"',
        LAST,
    )
    async with show(job) as (app, pilot):
        for typed in ("0.8", "2.4"):
            await pilot.press("equals_sign", "enter")
            await typing(pilot, typed, "enter")
        assert "slope 0.03200 V per %" in app.text()
        await pilot.press("equals_sign", "enter")
        await typing(pilot, "4", "enter")
        assert job.state.steps["grip"].answer.verdict == "pass"


RATIO = "id: ratio\nkind: calculate\ntitle: Compute the ratio\ncalculator: reduction"


async def test_a_calculation_is_recomputed_while_typing_and_taken_by_a_mark(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(f'{RATIO}\ninputs: {{primary: "1.5"}}', LAST)
    async with show(job) as (app, pilot):
        assert isinstance(app.job.area, CalculateArea)
        assert "No result" in app.text()
        await typing(pilot, "14", "enter")
        await typing(pilot, "42")
        text = app.text()
        assert "= 4.500" in text
        for words in ("Formula", "Source", "A result is not a permission."):
            assert words in text
        await pilot.press("enter", "enter", "enter")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "answered"]


async def test_a_calculation_of_known_inputs_is_read_and_taken(session: Any, show: Any) -> None:
    inputs = "inputs: {driving_teeth: 14, driven_teeth: 42, primary: 1}"
    job = session(f"{RATIO}\n{inputs}", LAST)
    async with show(job) as (app, pilot):
        assert isinstance(app.job.area, CalculatedArea)
        assert "= 3.000" in app.text()
        await pilot.press("enter")
        assert job.kinds() == ["opened"]
        await pilot.press("space", "enter")
        assert job.kinds() == ["opened", "answered"]


async def test_a_file_is_looked_at_before_it_is_kept(
    session: Any, show: Any, typing: Any, tmp_path: Path
) -> None:
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"light")
    job = session("id: photo\nkind: attach\ntitle: Keep a photo\nwhat: the wiring", LAST)
    async with show(job) as (app, pilot):
        await typing(pilot, "/no/such.jpg", "enter")
        assert "there is no file such.jpg" in app.text()
        app.job.area.input.value = str(photo)
        await pilot.press("enter")
        assert job.kinds() == ["opened"]
        assert "5 bytes, SHA-256" in app.text()
        await pilot.press("enter")
        assert job.given("photo")["value"]["size"] == 5


async def test_a_signature_takes_a_name_with_the_role_and_the_word(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(
        "id: done\nkind: sign_off\ntitle: Sign the work\nmeaning: done",
        "id: release\nkind: sign_off\ntitle: Release the bike\nmeaning: released\nrole: lead",
    )
    async with show(job) as (app, pilot):
        assert job.head[:32] in app.text()
        await pilot.press("equals_sign", "enter", "enter")
        await typing(pilot, "yes", "enter")
        assert "nothing is signed" in app.text()
        await pilot.press("ctrl+u")
        await typing(pilot, "done", "enter")
        assert job.entries[-1].by == "Ada"
        await typing(pilot, "Ada", "enter")
        await typing(pilot, "released", "enter")
        assert "Ada is no lead" in app.text()
        await pilot.press("up", "ctrl+u")
        await typing(pilot, "cleo", "enter")
        await pilot.press("enter")
        assert job.entries[-1].by == "Cleo"
        assert job.state.outcome == "released"
        assert app.job.mode.kind is Kind.ENDED
        assert job.head in app.text()


async def test_the_ledger_tells_the_way_of_each_setting(session: Any, show: Any) -> None:
    job = written(session)
    async with show(job, (120, 40)) as (app, pilot):
        await pilot.press("f3")
        text = app.text()
        assert "pole pairs: WRITTEN, NOT PROVED" in text
        assert "found 4 → intended 8 → written 8" in text
        await pilot.press("f10")
        assert app.screen is app.job


async def test_the_record_shows_each_entry_with_its_body(session: Any, show: Any) -> None:
    job = written(session)
    async with show(job, (120, 40)) as (app, pilot):
        await pilot.press("f4")
        text = app.text()
        assert f"{len(job.entries)} entries" in text
        assert "job opened" in text
        assert f"prev {job.entries[-1].prev[:16]}" in text


async def test_remedies_of_a_failed_step_come_first(session: Any, show: Any) -> None:
    job = session(
        WHEEL.strip()
        + "\non_fail:\n  remedy:\n    - {id: swap, kind: confirm, title: Swap two phases}",
        LAST,
    )
    job.submit("wheel", value="turns backward")
    async with show(job, (120, 40)) as (app, pilot):
        assert "remedy for step 1" in app.text()
        assert "1.1 Swap two phases" in app.text()
        await pilot.press("space", "enter")
        assert isinstance(app.job.area, ChoiceArea)
        assert "FAILED" in app.text()


def test_every_kind_of_step_has_a_card() -> None:
    from commission.procedure.model import KINDS
    from commission.tui.job.told import KIND_WORDS

    assert set(KIND_WORDS) == {*KINDS, "fact"}


async def test_a_step_that_is_due_again_can_be_answered_again(session: Any, show: Any) -> None:
    job = session(WHEEL.strip() + "\nrests_on: [poles]", LAST, facts="""
  - {id: poles, label: pole pairs, type: integer}""")  # fmt: skip
    job.submit("poles", value="8")
    job.submit("wheel", value="turns forward")
    drafts = moves.correct(job.state, "poles", {"": {"value": "4"}}, "recount", "Ada", job.now())
    job.record(drafts)
    async with show(job) as (app, pilot):
        assert not isinstance(app.job.area, FieldsArea)
        await pilot.press("1", "enter")
        assert job.state.steps["wheel"].due is None


async def test_a_reading_that_is_due_again_starts_from_an_empty_field(
    session: Any, show: Any, typing: Any
) -> None:
    job = session(
        "id: base\nkind: measure\ntitle: Measure the base\nunit: V",
        "id: top\nkind: measure\ntitle: Measure the top\nunit: V\nlimits: {min: base}",
        LAST,
    )
    async with show(job) as (app, pilot):
        await typing(pilot, "10", "enter")
        await typing(pilot, "12", "enter")
        assert job.state.steps["top"].answer.verdict == "pass"
        job.record(
            moves.correct(job.state, "base", {"": {"value": "11"}}, "misread", "Ada", job.now())
        )
        await app.job.show_job()
        await pilot.pause()
        assert job.state.steps["top"].due is not None
        assert app.job.area.input.value == ""
