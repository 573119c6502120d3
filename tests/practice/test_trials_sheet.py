"""The page about fault trials says what was caught where and what escaped, in the same bytes."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from commission.practice import proving
from commission.practice.faults import names, shipped
from commission.practice.trials_sheet import sheet
from commission.procedure import load
from commission.report.render.formats import FORMATS, render

if TYPE_CHECKING:
    from commission.practice.matrix import Matrix

CAUGHT, ESCAPED, BEYOND = "throttle-wire-broken", "brake-switch-dead", "pack-aged"


@pytest.fixture(scope="module")
def tried() -> Matrix:
    """Three faults: one that the short check catches, one that it does not, one that none can."""
    known = names(shipped().faults)
    loaded = load.load(load.checklists() / "quick-persistence.yaml")
    some = [known[name] for name in (CAUGHT, ESCAPED, BEYOND)]
    return proving.prove(loaded, some, seeds=1, sound=2, pilots=("honest", "copies"))


def test_each_fault_stands_with_its_outcome_and_the_step_that_found_it(tried: Matrix) -> None:
    page = sheet(tried)
    rows = {row[0]: row for row in page.data.rows}
    assert rows[CAUGHT][3].startswith("caught")
    assert "wheel_direction" in rows[CAUGHT][5]
    assert rows[ESCAPED][3] == "ESCAPED"
    assert rows[BEYOND][3] == "beyond a bench"
    assert page.data.loud == {1}
    assert page.standing == "NOT PROVED"


def test_a_procedure_without_shortfall_is_proved_against_its_faults_alone(tried: Matrix) -> None:
    some = replace(tried, faults=tried.faults[:1])
    page = sheet(some)
    assert page.standing == ""
    html = render(page, "html").decode()
    assert "Proved against 1 faults" not in html
    assert "Proved against 1 fault." in html
    assert "is not proved against what nobody thought of" in html


@pytest.mark.parametrize("form", FORMATS)
def test_the_same_trials_give_the_same_bytes_however_long_they_took(
    tried: Matrix, form: str
) -> None:
    later = replace(tried, seconds=99.0)
    assert render(sheet(tried), form) == render(sheet(later), form)  # type: ignore[arg-type]


def test_as_json_it_says_that_it_is_of_trials(tried: Matrix) -> None:
    said = json.loads(render(sheet(tried), "json"))
    assert said["kind"] == "page of fault trials"
    assert [row["fault"] for row in said["data"]["rows"]] == [CAUGHT, ESCAPED, BEYOND]
