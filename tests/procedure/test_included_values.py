"""Facts, settings and equipment of a fragment in a procedure's own lists."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.procedure.check import check
from commission.procedure.load import Loaded, loads

if TYPE_CHECKING:
    from commission.procedure import model

FRAGMENT = """\
fragment: bike
revision: 1
title: What is known of a bike
parameters: {word: {default: Cells}}
equipment: [{id: meter, label: Meter, kind: multimeter}]
facts:
  - {id: cells, label: "${word} in series", type: integer}
  - {id: pairs, label: Pole pairs, type: integer}
settings:
  - {id: poles, label: Pole pairs, type: integer}
  - {id: mode, label: Mode, type: choice, choices: [low, high]}
  - {id: limit, label: Limit, type: quantity, unit: V, equal_within: "1[V]"}
  - {id: fixed, label: Fixed, type: integer, intended: 3}
"""
HEAD = "procedure: whole\nrevision: 1\ntitle: Whole\npurpose: To include.\n"
STEPS = """\
stages:
  - id: only
    title: Only
    steps:
      - {kind: read_back, id: found, title: Read all, settings: all}
"""


def include(lists: str, steps: str = STEPS) -> Loaded:
    def find(name: str, _: str) -> tuple[str, str] | None:
        return ("bike.yaml", FRAGMENT) if name == "bike" else None

    return loads(HEAD + lists + steps, "whole.yaml", find)


def procedure_of(loaded: Loaded) -> model.Procedure:
    assert [str(each) for each in loaded.problems] == []
    assert loaded.procedure is not None
    return loaded.procedure


def test_a_list_takes_all_of_its_kind_and_nothing_else() -> None:
    procedure = procedure_of(include("settings: [{include: bike}]\n"))

    assert [each.id for each in procedure.settings] == ["poles", "mode", "limit", "fixed"]
    assert procedure.facts == ()
    assert procedure.equipment == ()


def test_some_are_taken_in_the_order_given_between_those_of_the_procedure() -> None:
    own = "{id: own, label: Own, type: yes_no}"
    item = "{include: bike, only: [limit, poles]}"
    procedure = procedure_of(include(f"settings: [{own}, {item}]\nfacts: [{{include: bike}}]\n"))

    assert [each.id for each in procedure.settings] == ["own", "limit", "poles"]
    assert [each.id for each in procedure.facts] == ["cells", "pairs"]


def test_the_procedure_says_what_it_wants_of_a_setting() -> None:
    loaded = include(
        "facts: [{include: bike, only: [pairs]}]\n"
        "settings: [{include: bike, intended: {poles: pairs, mode: low}}]\n"
    )
    settings = {each.id: each for each in procedure_of(loaded).settings}

    assert settings["poles"].intended == "pairs"
    assert settings["mode"].intended == "'low'"
    assert settings["limit"].intended is None
    assert settings["fixed"].intended == 3


def test_everything_may_be_meant_to_stay_as_found() -> None:
    loaded = include("settings: [{include: bike, only: [limit, mode, fixed], intended: found}]\n")
    settings = {each.id: each.intended for each in procedure_of(loaded).settings}

    assert settings == {"limit": "limit.found", "mode": "mode.found", "fixed": 3}
    assert [str(each) for each in check(loaded)] == []


def test_parameters_are_filled() -> None:
    procedure = procedure_of(include("facts: [{include: bike, with: {word: Groups}}]\n"))
    assert procedure.facts[0].label == "Groups in series"


def test_a_wrong_intended_value_is_told_where_it_is_written() -> None:
    loaded = include("settings:\n  - include: bike\n    intended:\n      limit: 3[A]\n")
    [told] = [each for each in check(loaded) if each.is_error]
    assert (told.file, told.line) == ("whole.yaml", 8)
    assert "current" in str(told).lower() or "A" in str(told)


@pytest.mark.parametrize(
    ("lists", "line", "words"),
    [
        ("settings: [{include: bik}]\n", 5, "no such fragment"),
        ("settings: [{include: bike, only: [pols]}]\n", 5, "poles"),
        ("settings: [{include: bike, intended: {pols: 3}}]\n", 5, "poles"),
        ("settings: [{include: bike, intended: {fixed: 4}}]\n", 5, "says already"),
        ("settings: [{include: bike, only: [mode], intended: {poles: 4}}]\n", 5, "left out"),
        ("facts: [{include: bike, intended: {cells: 4}}]\n", 5, "no meaning for facts"),
        ("facts: [{include: bike, intended: found}]\n", 5, "no meaning for facts"),
        ("settings: [{include: bike, intended: fund}]\n", 5, "a mapping"),
        ("facts: [{include: bike, onyl: [cells]}]\n", 5, "only"),
        ("facts: [{include: bike, with: {wrd: x}}]\n", 5, "word"),
    ],
)
def test_what_cannot_be_included_is_told_with_its_place(lists: str, line: int, words: str) -> None:
    loaded = include(lists)
    assert loaded.procedure is None
    [told] = loaded.problems
    assert (told.file, told.line) == ("whole.yaml", line)
    assert words in str(told)


def test_the_text_of_the_record_has_everything_written_out() -> None:
    loaded = include("settings: [{include: bike, intended: {poles: 4}}]\n")
    assert '"include":' not in loaded.text
    assert '"intended":4' in loaded.text


def test_a_write_of_all_names_every_setting_that_is_to_be_something() -> None:
    steps = (
        STEPS
        + """\
      - kind: power_cycle
        id: cycle
        title: Switch off and on
        cycle: key
        off_for: 5[s]
        on_fail: {remedy: [{kind: write, id: again, title: Set all, settings: all}]}
"""
    )
    loaded = include("settings: [{include: bike, intended: {poles: 4, mode: low}}]\n", steps)
    procedure = procedure_of(loaded)
    again = next(each for each in procedure.steps() if each.id == "again")

    assert getattr(again, "settings", ()) == ("poles", "mode", "fixed")
    assert [str(each) for each in check(loaded)] == []
    assert '"settings":["poles","mode","fixed"]' in loaded.text


def test_a_write_of_all_where_nothing_is_to_be_anything_is_refused() -> None:
    steps = STEPS + "      - {kind: write, id: none, title: Set all, settings: all}\n"
    loaded = include("settings: [{include: bike, only: [poles]}]\n", steps)
    assert loaded.procedure is None
    assert [each.line for each in loaded.problems] == [11]
