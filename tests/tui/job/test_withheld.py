"""While an independent witness has yet to read, no face of a job says the first reading."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import RefusedError
from commission.job import moves
from commission.job.withheld import as_witness_sees, entries_as_witness_sees
from commission.procedure.load import loads
from commission.report.subject import subject_of
from commission.tui.home.look import Look
from commission.tui.report.dialog import WriteReport

if TYPE_CHECKING:
    from commission.record.bench import Bench

HEAD = """\
procedure: withheld
revision: 1
title: A reading that is taken twice
purpose: To keep the first one.
roles: {pack_open_voltage: pack}
settings:
  - {id: low_voltage, label: Low-voltage limit, type: quantity, unit: V,
     equal_within: "0.1[V]", intended: "pack * 0.8"}
stages:
  - id: only
    title: The only stage
    steps:
      - id: pack
        kind: measure
        title: Measure the pack voltage
        unit: V
        hold: witness
        witness: {independent: true, within: "0.3[V]"}
        limits: {min: "40[V]", max: "60[V]"}
      - {id: found, kind: read_back, title: Read the settings, settings: [low_voltage]}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released}
"""
SAID = ("53.1", "42.5", "Passed", "passed")
"""The first reading, what is computed from it, and its verdict."""


@pytest.fixture
def job(bench: Bench) -> str:
    """A job whose pack was read as 53.17 V, noted so, and waits for its witness."""
    people = {"Ada": ("technician", "lead"), "Ben": ("witness",)}
    with bench.start(loads(HEAD), {"frame": "OFR-1"}, people, "Ada") as session:
        session.record(moves.submit(session.state, "pack", {"value": "53.17"}, "Ada",
                                    session.now()))  # fmt: skip
        session.record([moves.note(session.state, "it was 53.17 V", "B", "Ada")])
        return session.job


def says_nothing(text: str) -> bool:
    return not any(one in text for one in SAID)


@pytest.mark.parametrize(
    ("key", "shows"),
    [("f3", "Low-voltage limit"), ("f4", "kept from the witness"), ("f5", "kept from the witness")],
)
async def test_no_list_of_the_job_says_it(
    bench: Bench, job: str, app_on: Any, until: Any, shown: Any, key: str, shows: str
) -> None:
    from commission.tui.job.screen import JobScreen

    with bench.resume(job) as session:
        app = app_on()
        async with app.run_test(size=(120, 40)) as pilot:
            await until(pilot, lambda: app.bench is not None, "the bench")
            app.push_screen(JobScreen(session, "Ada"))
            await until(pilot, lambda: "Hold point" in shown(app) or "witness" in shown(app))
            await pilot.press(key)
            await until(pilot, lambda: shows in shown(app), shows)
            assert says_nothing(shown(app).replace("Good  ", ""))


async def test_the_cross_checks_do_not_know_it(bench: Bench, job: str) -> None:
    from commission.job.crosschecking import known

    state = bench.look(job)
    assert known(state)["pack_open_voltage"].value == pytest.approx(53.17)
    assert "pack_open_voltage" not in known(as_witness_sees(state))


async def test_the_ledger_computes_nothing_from_it(bench: Bench, job: str) -> None:
    from commission.job.ledger import ledger

    state = bench.look(job)
    assert ledger(state)[0].intended.startswith("42.5")
    assert not ledger(as_witness_sees(state))[0].intended


async def test_a_look_from_home_does_not_say_it(
    bench: Bench, job: str, app_on: Any, until: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        app.push_screen(Look(bench.look(job)))
        await until(pilot, lambda: "answered, kept from the witness" in shown(app), "the step")
        assert says_nothing(shown(app))


async def test_no_sheet_is_written_of_it_until_the_witness_has_read(
    bench: Bench, job: str, app_on: Any, until: Any, shown: Any, tmp_path: Any
) -> None:
    app, file = app_on(), tmp_path / "sheet.json"
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        dialog = WriteReport(app.bench, job, "", is_finished=False)
        app.push_screen(dialog)
        await pilot.pause()
        dialog.file.value = str(file)
        await pilot.press("enter")
        await until(pilot, lambda: "waits for a witness" in shown(app), "why not")
    assert not file.exists()
    with pytest.raises(RefusedError, match="must not know the first reading"):
        subject_of(bench, job)


async def test_once_the_witness_has_read_everything_is_said_again(bench: Bench, job: str) -> None:
    with bench.resume(job) as session:
        session.record([moves.confirm_hold(
            session.state, "pack", "Ben", agrees=True, now=session.now(), given={"value": "53.2"}
        )])  # fmt: skip
        state, entries = session.state, session.recent(99)
    assert as_witness_sees(state) is state
    assert entries_as_witness_sees(state, entries) == entries
    assert subject_of(bench, job).state == state
