"""The form for a new job: what it takes, what it refuses, and that nothing is lost by a refusal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import ProcedureError, StoreError
from commission.tui.home.screen import Home
from commission.tui.job.screen import JobScreen
from commission.tui.start import procedures
from commission.tui.start.entries import Entries, remarks, same, wrong_with
from commission.tui.start.screen import Start
from commission.tui.widgets import Field

if TYPE_CHECKING:
    from pathlib import Path

    from commission.record.bench import Bench

PROCEDURE = """
procedure: own
revision: 1
title: A workshop's own procedure
purpose: To be found by its path.
stages:
  - id: only
    title: The only stage
    steps:
      - {id: stand, kind: confirm, title: Put the bike on the stand}
"""


def typed(**fields: str) -> Entries:
    return Entries(**{"frame": "OFR-1", "technician": "Ada", **fields})


def test_frame_number_and_technician_are_needed() -> None:
    assert wrong_with(Entries()).keys() == {"frame", "technician"}
    assert wrong_with(typed(frame="  ")).keys() == {"frame"}
    assert not wrong_with(typed())


@pytest.mark.parametrize("witness", ["Ada", " ada ", "ADA"])
def test_the_witness_is_never_the_technician(witness: str) -> None:
    assert wrong_with(typed(witness=witness)).keys() == {"witness"}


def test_a_lead_who_also_works_is_allowed_and_remarked_upon() -> None:
    assert not wrong_with(typed(lead="Ada"))
    assert remarks(typed(lead="ada")).keys() == {"lead"}


def test_people_have_their_roles_and_one_person_may_have_two() -> None:
    assert typed(lead="Cleo  Ray", witness="cleo ray").people == {
        "Ada": ("technician",), "Cleo Ray": ("lead", "witness"),
    }  # fmt: skip


def test_what_was_left_empty_of_the_bike_is_not_recorded() -> None:
    assert typed(model=" trail  bike ").bike == {"frame": "OFR-1", "model": "trail bike"}


def test_no_name_is_nobody() -> None:
    assert not same("", "")
    assert same("Ada  B", "ada b")


def test_a_procedure_with_errors_is_refused_with_their_places(tmp_path: Path) -> None:
    file = tmp_path / "bad.yaml"
    file.write_text(PROCEDURE.replace("kind: confirm", "kind: confirmm"))
    with pytest.raises(ProcedureError, match=r"bad\.yaml:\d+:\d+"):
        procedures.loaded(str(file))


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ProcedureError, match=r"nowhere\.yaml"):
        procedures.loaded(str(tmp_path / "nowhere.yaml"))


def test_shipped_procedures_can_be_used() -> None:
    offered = procedures.shipped()
    assert offered[0].slug == "controller-exchange"
    for offer in offered:
        assert procedures.loaded(offer.file).procedure is not None


async def open_form(app: Any, pilot: Any, until: Any, shown: Any) -> None:
    await until(pilot, lambda: "No job yet" in shown(app))
    await pilot.press("f2")
    await until(pilot, lambda: isinstance(app.screen, Start) and "Firmware" in shown(app))
    await pilot.pause()


async def test_a_job_is_started_with_enter_alone_from_field_to_field(
    app_on: Any, bench: Bench, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("enter", *"OFR-7", "enter", *"trail", "enter", "enter", *"Ada", "enter")
        await pilot.press(*"Cleo", "enter", *"Ben", "enter", *"seven", "enter")
        await pilot.pause()
        snapshot(app, "start-80x24")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        assert app.technician == "Ada"
        state = app.screen.session.state
        assert state.opened.bike == {
            "frame": "OFR-7", "model": "trail", "controller": "seven",
        }  # fmt: skip
        assert dict(state.people) == {
            "Ada": {"technician"}, "Cleo": {"lead"}, "Ben": {"witness"},
        }  # fmt: skip
        assert len(bench.jobs()) == 1
        app.pop_screen()
        await until(pilot, lambda: isinstance(app.screen, Home) and "OFR-7" in shown(app))


async def test_each_procedure_is_offered_with_its_time_and_what_it_is_for(
    app_on: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_form(app, pilot, until, shown)
        assert "7 h  Exchange of a motor controller" in shown(app)
        for offer in procedures.shipped():
            # Every line of a purpose is seen, whole, in the smallest window.
            seen = " ".join(shown(app).split())
            assert f"{offer.takes} {offer.title}" in seen
            assert " ".join(offer.purpose.split()) in seen
            await pilot.press("down")
            await pilot.pause()
        snapshot(app, "start-another-80x24")


async def test_all_procedures_are_in_sight_in_a_tall_window(
    app_on: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await open_form(app, pilot, until, shown)
        assert all(offer.title in shown(app) for offer in procedures.shipped())
        assert "Another file" in shown(app)
        snapshot(app, "start-120x40")


async def test_what_is_missing_is_said_beside_the_field_and_nothing_is_recorded(
    app_on: Any, bench: Bench, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("tab", "tab", *"trail", "f2")
        await until(pilot, lambda: "! needed: it names the job" in shown(app))
        assert app.focused is app.screen.query_one("#frame", Field)
        assert app.screen.query_one("#model", Field).value == "trail"
        await pilot.pause()
        snapshot(app, "start-missing")
        assert bench.jobs() == ()


async def test_another_file_is_named_by_its_path(
    app_on: Any, tmp_path: Path, until: Any, shown: Any
) -> None:
    file = tmp_path / "own.yaml"
    file.write_text(PROCEDURE)
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("end", "enter")
        await until(pilot, lambda: app.focused is app.screen.query_one("#path", Field))
        app.screen.query_one("#path", Field).value = str(file)
        await pilot.press("enter", *"OFR-7", "down", "down", "down", *"Ada", "f2")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        assert app.screen.session.state.opened.procedure == "own"


async def test_a_refused_start_keeps_what_was_typed(
    app_on: Any, tmp_path: Path, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("end", "enter")
        await until(pilot, lambda: app.focused is app.screen.query_one("#path", Field))
        app.screen.query_one("#path", Field).value = str(tmp_path / "nowhere.yaml")
        await pilot.press("enter", *"OFR-7", "down", "down", "down", *"Ada", "f2")
        await until(pilot, lambda: "cannot be used" in shown(app))
        assert app.screen.entries.frame == "OFR-7"
        assert isinstance(app.screen, Start)


async def test_a_full_disk_keeps_what_was_typed(
    app_on: Any, bench: Bench, until: Any, shown: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise StoreError("The disk is full.", "Make room on it.")

    monkeypatch.setattr(bench, "start", full)
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("enter", *"OFR-7", "down", "down", "down", *"Ada", "f2")
        await until(pilot, lambda: "The disk is full. Make room" in shown(app))
        assert app.screen.entries.by == "Ada"


async def test_f10_leaves_the_form_and_nothing_is_recorded(
    app_on: Any, bench: Bench, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test() as pilot:
        await open_form(app, pilot, until, shown)
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Home))
        assert bench.jobs() == ()
