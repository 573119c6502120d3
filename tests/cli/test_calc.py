"""`commission calc` as it is typed: lists, describes, computes, refuses."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner, Result

from commission.calculators import catalogue
from commission.cli import calc


def run(*arguments: str) -> Result:
    app = typer.Typer()
    calc.register(app)
    app.command("other")(lambda: None)
    return CliRunner().invoke(app, ["calc", *arguments])


def test_lists_every_calculator_by_topic() -> None:
    got = run()
    assert got.exit_code == 0
    assert all(f"  {name} " in got.stdout for name in catalogue.names())
    assert max(map(len, got.stdout.splitlines())) <= 100


def test_list_as_json_has_name_version_topic_and_title() -> None:
    rows = json.loads(run("--json").stdout)
    assert [row["calculator"] for row in rows] == list(catalogue.names())
    assert set(rows[0]) == {"calculator", "version", "topic", "title"}


def test_name_alone_describes_it_with_cautions_first() -> None:
    got = run("discharge-time")
    assert got.exit_code == 0
    assert got.stdout.index("Wait, and then measure") < got.stdout.index("capacitance")
    assert json.loads(run("discharge-time", "--json").stdout)["example"]["outputs"]


def test_computes_with_units_and_says_what_was_taken_by_default() -> None:
    got = run("pack-voltage", "series=14", "full=4.2V")
    assert got.exit_code == 0
    lines = got.stdout.splitlines()
    assert any(line.startswith("= full_voltage") and "58.80 V" in line for line in lines)
    assert any("chemistry" in line and "(default)" in line for line in lines)
    cautions = [place for place, line in enumerate(lines) if line.startswith("! A result")]
    results = [place for place, line in enumerate(lines) if line.startswith("= ")]
    assert cautions[0] < results[0]


def test_json_has_values_units_warnings_and_source() -> None:
    got = json.loads(run("pack-voltage", "series=3", "full=4.2V", "--json").stdout)
    assert got["calculator"] == "pack-voltage"
    assert got["version"] == 2
    assert got["inputs"]["series"] == {"value": 3.0, "unit": "cells"}
    assert got["inputs"]["chemistry"] == {"value": "nmc", "unit": ""}
    assert got["outputs"]["full_voltage"] == {"value": pytest.approx(12.6), "unit": "V"}
    assert got["outputs"]["class_b"] == {"value": False, "unit": ""}
    assert got["warnings"] == ["The cells in series is 3 cells; usual is 10 to 32 cells."]
    assert got["source"]


def test_json_of_several_numbers_is_a_list_in_the_declared_unit() -> None:
    got = json.loads(run("sensor-spread", "angles=355 5 15", "--json").stdout)
    assert got["inputs"]["angles"] == {"value": [355, 5, 15], "unit": "deg"} or got["inputs"][
        "angles"
    ]["value"] == pytest.approx([355, 5, 15])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("weel-speed",), "Did you mean wheel-speed"),
        (("weel-speed", "x"), "Did you mean wheel-speed"),
        (("bonding", "current"), "is no INPUT=VALUE"),
        (("bonding", "curent=1", "drop=1"), "Did you mean current"),
        (("bonding", "current=1", "current=2"), "given twice"),
        (("bonding", "current=3,5", "drop=1"), "has a comma"),
        (("bonding", "current=0.1", "drop=1"), "must be at least 0.2 A"),
        (("bonding", "current=1"), "drop is missing"),
        (("wheel-speed", "ratio=4", "rollout=2"), "Give either motor_speed; or speed"),
    ],
)
def test_refusals_are_one_sentence_on_stderr_and_exit_two(
    arguments: tuple[str, ...], said: str
) -> None:
    got = run(*arguments)
    assert got.exit_code == 2
    assert said in got.stderr
    assert got.stdout == ""
    assert "Traceback" not in got.stderr


def test_control_characters_typed_do_not_reach_the_terminal() -> None:
    got = run("bonding\x1b[2J", "current=1")
    assert "\x1b" not in got.stderr
    got = run("bonding", "current=\x1b]0;x\x071", "drop=1")
    assert got.exit_code == 2
    assert "\x1b" not in got.stderr


def test_a_wished_output_finds_the_input_left_out_and_says_which() -> None:
    got = run("wheel-speed", "ratio=7.5", "rollout=2m", "road_speed=60")
    assert got.exit_code == 0
    assert "  motor_speed             3750 r/min  (found for road_speed)" in got.stdout
    assert "= road_speed              60.00 km/h" in got.stdout


def test_several_answers_and_none_are_told_and_are_no_success() -> None:
    both = run("guard-band", "nominal=0", "tolerance=1", "expanded=0.3", "probability=97")
    assert both.exit_code == 2
    assert "-0.717881 and 0.717881" in both.stderr
    none = run("pack-sag", "open_voltage=72", "resistance=50", "power_delivered=40")
    assert none.exit_code == 2
    assert "never more than 25.92 kW" in none.stderr
    unusual = run("pack-sag", "open_voltage=72", "resistance=50", "power_delivered=10")
    assert unusual.exit_code == 0
    assert "! The same comes of current 1284 A, which is not usual." in unusual.stdout


def test_json_of_a_found_input_says_what_it_was_found_for() -> None:
    arguments = ("torque=50", "ratio=8", "radius=300", "thrust=1200", "--find", "efficiency")
    got = json.loads(run("wheel-thrust", *arguments, "--json").stdout)
    assert got["found"] == {
        "input": "efficiency",
        "for": {"output": "thrust", "value": pytest.approx(1200), "unit": "N"},
        "also": [],
    }
    assert got["inputs"]["efficiency"] == {"value": pytest.approx(90), "unit": "%"}
    assert "found" not in json.loads(run("bonding", "current=1", "drop=1", "--json").stdout)
