"""`commission instruments`, by its own process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ADA, BEN = "correct horse battery", "another long phrase"
RANGE = "60 V: 0.5 % + 2 counts of 0.01"


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    def call(*words: str, own: str = "", lead: str = "") -> subprocess.CompletedProcess[str]:
        given: list[str] = []
        passed: list[int] = []
        for option, text in (("--passphrase-fd", own), ("--lead-passphrase-fd", lead)):
            if text:
                reading, writing = os.pipe()
                os.write(writing, f"{text}\n".encode())
                os.close(writing)
                passed.append(reading)
                given += [option, str(reading)]
        environment = {**os.environ, "COMMISSION_HOME": str(tmp_path / "home")}
        environment.pop("COMMISSION_STORE", None)
        try:
            return subprocess.run(
                [sys.executable, "-m", "commission", *words, *given],
                capture_output=True, text=True, check=False, env=environment,
                pass_fds=passed, stdin=subprocess.DEVNULL,
            )  # fmt: skip
        finally:
            for one in passed:
                os.close(one)

    return call


def test_an_instrument_is_added_checked_calibrated_and_retired(run: Any) -> None:
    done = run("instruments", "list")
    assert (done.returncode, done.stdout) == (0, "")
    assert "No instrument is registered" in done.stderr
    added = run("instruments", "add", "multimeter", "4711", "--range", RANGE, "--due", "2020-01-31")
    assert (added.returncode, added.stderr.split(";")[0]) == (
        0, "Added multimeter 4711 as multimeter-1",
    )  # fmt: skip
    listed = run("instruments", "list", "--due").stdout
    assert "OVERDUE since 2020-01-31" in listed
    assert RANGE in listed
    done = run("instruments", "calibrated", "4711", "--on", "2026-01-02", "--due", "2099-01-02")
    assert "calibrated until 2099-01-02" in done.stdout
    done = run("instruments", "checked", "4711", "9 V source: 8.2 V", "--bad", "--by", "Ada")
    assert "FAILED ITS CHECK" in done.stdout
    assert "by Ada: BAD, 9 V source: 8.2 V" in done.stdout
    done = run("instruments", "ranges", "4711", "--range", "600 V: 1 %", "--reason", "other leads")
    assert "600 V: 1 %" in done.stdout
    assert RANGE not in done.stdout
    assert "retired" in run("instruments", "retire", "4711", "--reason", "dropped").stdout
    (one,) = json.loads(run("instruments", "list", "--json").stdout)
    assert (one["id"], one["due"], one["standing"]) == (
        "multimeter-1", "2099-01-02", "failed its check",
    )  # fmt: skip
    assert one["last_check"]["good"] is False
    assert run("verify", "--all").returncode == 0


def test_a_kind_that_no_checklist_reads_with_is_pointed_out(run: Any) -> None:
    assert "No shipped checklist" not in run("instruments", "add", "Torque  Wrench", "1").stderr
    said = run("instruments", "add", "multi-meter", "1").stderr
    assert "they name: insulation tester, milliohm meter, multimeter, tape measure" in said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("add", "multimeter", "1", "--range", "60 V"), "Write it as: 60 V: 0.5 %"),
        (("add", "multimeter", "1", "--due", "soon"), "Due: 'soon' is not a day"),
        (("add", " ", "1"), "Kind"),
        (("add", "multimeter", "\x1b[31mred"), "Serial number"),
        (("retire", "nothing", "--reason", "why"), "There is no store"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(run: Any, words: tuple[str, ...], says: str) -> None:
    done = run("instruments", *words)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert "\x1b" not in done.stderr


def test_unknown_and_retired_ones_are_named(run: Any) -> None:
    run("instruments", "add", "multimeter", "1")
    assert "no instrument" in run("instruments", "retire", "x", "--reason", "why").stderr
    run("instruments", "retire", "1", "--reason", "worn")
    assert "That is for good" in run("instruments", "checked", "1", "9 V: good").stderr


def test_where_people_are_registered_a_lead_signs(run: Any) -> None:
    assert run("people", "add", "Ada Nwosu", "--role", "lead", own=ADA).returncode == 0
    run("people", "add", "Ben Ito", "--role", "technician", "--id", "ben", own=BEN, lead=ADA)
    refused = run("instruments", "add", "multimeter", "1", lead="wrong passphrase")
    assert (refused.returncode, run("instruments", "list").stdout) == (2, "")
    assert run("instruments", "add", "multimeter", "1", lead=ADA).returncode == 0
    assert run("instruments", "checked", "1", "9 V: good", "--by", "ben", lead=BEN).returncode == 0
    done = run("instruments", "retire", "1", "--reason", "worn", "--by", "ben", lead=BEN)
    assert "no lead" in done.stderr
    assert run("verify", "--all").returncode == 0


def test_an_instrument_is_meant_by_id_or_serial_number_in_any_case_the_one_in_use_first(
    run: Any,
) -> None:
    assert run("instruments", "add", "tape", "A7").returncode == 0  # a word misspelt
    assert run("instruments", "retire", "TAPE-1", "--reason", "misspelt").returncode == 0
    assert run("instruments", "add", "tape measure", "A7").returncode == 0
    told = run("instruments", "checked", "a7", "1000 mm rule: 1000")
    assert told.returncode == 0, told.stderr
    assert told.stdout.startswith("tape-measure-1")


def test_a_list_says_when_a_calibration_was_done_and_by_what_certificate(run: Any) -> None:
    assert run("instruments", "add", "multimeter", "4711").returncode == 0
    certificate = ("--on", "2026-01-02", "--due", "2099-01-02", "--certificate", "C-17")
    assert run("instruments", "calibrated", "4711", *certificate).returncode == 0
    assert "calibrated on 2026-01-02, certificate C-17" in run("instruments", "list").stdout
    (told,) = json.loads(run("instruments", "list", "--json").stdout)
    assert (told["calibrated_on"], told["certificate"]) == ("2026-01-02", "C-17")


def test_an_empty_list_says_why_it_is_empty(run: Any) -> None:
    due = ("--due", "2099-01-02")
    assert run("instruments", "add", "multimeter", "4711", *due).returncode == 0
    told = run("instruments", "list", "--kind", "metre")
    assert (told.returncode, told.stdout) == (0, "")
    assert "Kinds here: multimeter." in told.stderr
    assert "None is overdue" in run("instruments", "list", "--due").stderr
