"""Controller sheets: a workshop's notes, held against the settings of a procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.procedure.load import loads
from commission.procedure.sheet import load_sheet, loads_sheet

if TYPE_CHECKING:
    from pathlib import Path

    from commission.procedure import model

SHEET = """\
sheet: demo
revision: 1
title: A demo family
settings:
  - setting: speed
    found_at: Page three
    range: ["5[km/h]", "90[km/h]"]
faults:
  - settings: [speed]
    seen: It comes back after the second start.
    remedy: Set it on the other page.
"""
PROCEDURE = """\
procedure: x
revision: 1
title: T
purpose: P
settings: [{id: speed, label: Speed, type: quantity, unit: km/h}]
stages: [{id: s, title: S, steps: [{kind: read_back, id: r, title: Read, settings: all}]}]
"""


@pytest.fixture
def procedure() -> model.Procedure:
    loaded = loads(PROCEDURE)
    assert loaded.procedure is not None
    return loaded.procedure


def test_a_sheet_loads(tmp_path: Path, procedure: model.Procedure) -> None:
    file = tmp_path / "demo.yaml"
    file.write_text(SHEET, encoding="utf-8")
    loaded = load_sheet(file, procedure)
    assert loaded.problems == ()
    assert loaded.sheet is not None
    assert loaded.sheet.faults[0].settings == ("speed",)


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ("setting: speed", "setting: sped", "5:14", "Did you mean speed?"),
        ("found_at", "foundat", "6:5", "Did you mean found_at?"),
        ("90[km/h]", "90[V]", "7:24", "gives a voltage"),
        ("90[km/h]", "x", "7:25", "not a declared name"),
        ("[speed]", "[spede]", "9:16", "the sheet does not list"),
        ("revision: 1", "revision: no", "2:11", "a whole number"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_told_at_its_place(
    procedure: model.Procedure, old: str, new: str, place: str, words: str
) -> None:
    told = [str(each) for each in loads_sheet(SHEET.replace(old, new, 1), "f", procedure).problems]
    assert [each for each in told if each.startswith(f"f:{place}: ") and words in each], told


def test_a_setting_the_procedure_lacks_is_a_warning_only(procedure: model.Procedure) -> None:
    loaded = loads_sheet(SHEET.replace("speed", "other"), "f", procedure)
    assert loaded.sheet is not None
    assert [each.severity for each in loaded.problems] == ["warning"]


def test_a_file_that_is_missing_is_a_problem(tmp_path: Path) -> None:
    loaded = load_sheet(str(tmp_path / "none.yaml"))
    assert loaded.sheet is None
    assert "no such file" in str(loaded.problems[0])
