"""Line prompts: what a reading is taken with, like bikes, this bike's last visit."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import pytest

from commission.cli.exits import Exit
from commission.cli.plain.job import drive
from commission.cli.plain.talk import Talk
from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.procedure import load
from commission.record.bench import Bench
from commission.register import instrument_moves
from commission.register.instrument_moves import Wanted

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

TEXT = """
procedure: plain
revision: 1
title: Plain readings
purpose: To read by prompts.
equipment: [{id: meter, label: multimeter, kind: multimeter, percent: 1, counts: 1, overdue: RULE}]
settings:
  - {id: way, label: direction, type: choice, choices: [normal, reversed]}
stages:
  - id: only
    title: Only stage
    steps:
      - {id: pack, kind: measure, title: Measure the pack, unit: V, instrument: meter}
      - id: runs
        kind: series
        title: Measure twice
        instrument: meter
        runs: 2
        columns: [{id: volts, label: Volts, unit: V}]
      - {id: found, kind: read_back, title: Read the settings, settings: all}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""
RANGES = parse_ranges("60 V: 1 % + 1 counts of 0.01")
PEOPLE = {"Ada": ("technician",), "Cleo": ("lead",)}


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.db", "bench-1") as opened:
        yield opened


def meter(bench: Bench, serial: str, due: str = "2099-12-31") -> None:
    wanted = Wanted("multimeter", serial, "bench meter", RANGES, due)
    bench.book.enter(lambda now: (instrument_moves.add(now, wanted, "w"),))


def start(bench: Bench, frame: str = "F9", rule: str = "concession") -> Any:
    loaded = load.loads(TEXT.replace("RULE", rule))
    return bench.start(loaded, {"frame": frame, "model": "mule"}, PEOPLE, "Ada")


def drive_with(session: Any, *lines: str) -> str:
    talk = Talk(source=io.StringIO("".join(f"{line}\n" for line in lines)), sink=io.StringIO())
    with session:
        assert drive(session, "Ada", talk) == Exit.UNFINISHED
    assert isinstance(talk.sink, io.StringIO)
    return " ".join(talk.sink.getvalue().split())


def cited(session: Any, step: str = "pack", name: str = "value") -> list[str]:
    parts = session.state.steps[step].answer.parts.values()
    return [piece[name]["instrument"]["id"] for piece in parts]


def test_the_last_one_is_offered_and_a_number_takes_another(bench: Bench) -> None:
    meter(bench, "4711")
    meter(bench, "4712")
    session = start(bench)
    said = drive_with(session, "9", "2", "50.00", "", "50.0", "50.1")
    assert "Read with multimeter-1 bench meter, serial 4711, calibrated until 2099" in said
    assert "3. another multimeter, which is not in the register" in said
    assert "Type a number from 1 to 3" in said
    assert cited(session) == ["multimeter-2"]
    # The step after offers what was read with last, and asks once for both runs.
    assert cited(session, "runs", "volts") == ["multimeter-2"] * 2
    assert said.count("Enter takes it, a number another:") == 3


def test_a_lead_gives_leave_by_prompts_or_nobody_does(bench: Bench) -> None:
    meter(bench, "4711", "2020-01-01")
    session = start(bench)
    said = drive_with(
        session, "", "50.00", "", "", "50.00", "Cleo", "this pack", "2099-01-01", "none other"
    )
    assert "Not taken: multimeter-1 bench meter, serial 4711 is not read with." in said
    assert session.state.instrument_leaves["multimeter-1"].by == "Cleo"
    assert cited(session) == ["multimeter-1"]


def test_a_procedure_that_stops_on_it_asks_for_another(bench: Bench) -> None:
    meter(bench, "4711", "2020-01-01")
    meter(bench, "4712")
    session = start(bench, rule="stop")
    said = drive_with(session, "1", "50.00", "2", "50.00")
    assert "does not take readings with it" in said
    assert cited(session) == ["multimeter-2"]


def test_a_newcomer_is_asked_nothing_of_it(bench: Bench) -> None:
    session = start(bench)
    said = drive_with(session, "50.00", "50.0", "50.1", "normal")
    assert "Read with" not in said
    assert "like bike" not in said
    assert "Since" not in said
    assert session.state.steps["found"].answer is not None


def test_like_bikes_and_the_place_among_them_are_said(bench: Bench) -> None:
    for at in range(6):
        with start(bench, f"F{at}") as other:
            given = {"value": f"50.{at}"}
            other.record(moves.submit(other.state, "pack", given, "Ada", other.now()))
    said = drive_with(start(bench), "57.0")
    assert "6 like bikes: median 50.25 V, spread 0.22 V; last 50.50, 50.40, 50.30." in said
    assert "LOOK AGAIN: 30." in said


def test_what_differs_from_the_last_visit_is_said_at_the_read_back_and_on_demand(
    bench: Bench,
) -> None:
    with start(bench) as first:
        for step, given in (
            ("pack", {"value": "50"}), ("runs", {"volts": "50"}), ("runs", {"volts": "50"}),
            ("found", {"way": "reversed"}),
        ):  # fmt: skip
            first.record(moves.submit(first.state, step, given, "Ada", first.now()))
        first.record((moves.abandon(first.state, "for another day", "Ada"),))
    session = start(bench)
    said = drive_with(session, "50", "50", "50", "normal", "!visit")
    assert "1 setting known from then is not read yet." in said
    assert "direction: left reversed, found normal: DIFFERS" in said
    assert "No earlier job" in drive_with(start(bench, "F8"), "!visit")


def test_an_independent_witness_says_what_was_read_with(bench: Bench) -> None:
    meter(bench, "4711")
    meter(bench, "4712", "2020-01-01")
    witnessed = TEXT.replace("RULE", "concession").replace(
        "instrument: meter}",
        'instrument: meter, hold: witness, witness: {independent: true, within: "0.3[V]"}}', 1,
    )  # fmt: skip
    people = {**PEOPLE, "Ben": ("witness",)}
    session = bench.start(load.loads(witnessed), {"frame": "F9", "model": "mule"}, people, "Ada")
    said = drive_with(
        session, "", "50.00", "Ben", "2", "50.10", "Cleo", "this pack", "2099-01-01", "none other"
    )
    assert "multimeter-2 bench meter, serial 4712, which was due" in said
    confirmed = next(one for one in session.recent(9) if one.kind == "hold_confirmed")
    assert confirmed.body["parts"][""]["value"]["instrument"]["id"] == "multimeter-2"
    assert cited(session) == ["multimeter-1"]
    assert session.state.instrument_leaves["multimeter-2"].by == "Cleo"
