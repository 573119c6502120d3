"""A worksheet: what stands in the fields, and what it gives, whatever was typed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.calculators import catalogue
from commission.calculators.outcome import outcome
from commission.calculators.typed import compute_typed
from commission.calculators.worksheet import Worksheet, new

NAMES = catalogue.names()
TEXTS = st.one_of(
    st.text(max_size=12), st.sampled_from(["", "0", "-1", "1e300", "5", "84.0", "35 mph", "3,5"])
)


def sheet_of(name: str, **typed: str) -> Worksheet:
    sheet = new(catalogue.get(name))
    for each, text in typed.items():
        sheet = sheet.with_text(each, text)
    return sheet


@pytest.mark.parametrize("name", NAMES)
def test_the_worked_example_gives_what_the_command_line_gives(name: str) -> None:
    sheet = new(catalogue.get(name)).with_example()
    worked = compute_typed(name, catalogue.get(name).example.inputs)
    result = outcome(sheet)
    assert result.answers == worked.result.outputs
    assert result.inputs == worked.inputs


@given(st.sampled_from(NAMES), st.lists(st.tuples(st.integers(0, 9), TEXTS), max_size=6))
def test_nothing_that_is_typed_raises(name: str, typed: list[tuple[int, str]]) -> None:
    sheet = new(catalogue.get(name))
    inputs, outputs = sheet.calculator.inputs, sheet.calculator.outputs
    for at, text in typed:
        sheet = sheet.with_text(inputs[at % len(inputs)].name, text)
        sheet = sheet.with_own_unit(inputs[at % len(inputs)].name)
        sheet = sheet.with_next_unit(inputs[at % len(inputs)].name)
    result = outcome(sheet)
    refused = [remark for remark in result.remarks.values() if remark.kind == "refused"]
    assert bool(result.answers) != bool(refused or result.missing or result.refusal)
    asked = outcome(sheet.with_wanted(outputs[0].name, "5"))
    assert asked.solution is None or asked.answers


@given(st.floats(1.0, 300.0), st.integers(0, 8), st.integers(0, 8))
def test_units_of_fields_and_results_change_no_result(speed: float, one: int, other: int) -> None:
    sheet = sheet_of("wheel-speed", ratio="7.5", rollout="2.07", speed=f"{speed:.3f}")
    before = outcome(sheet).answers
    for _ in range(one):
        sheet = sheet.with_next_unit("speed")
    for _ in range(other):
        sheet = sheet.with_next_unit("rollout").with_next_unit("road_speed")
    assert outcome(sheet).answers == before


def test_the_unit_of_a_wanted_result_changes_without_its_value() -> None:
    sheet = sheet_of("wheel-speed", ratio="7.5", rollout="2.07").with_wanted("road_speed", "80")
    before = outcome(sheet)
    turned = sheet.with_next_unit("road_speed")
    assert turned.wanted_of("road_speed") == "49.7"
    assert outcome(turned).solution == before.solution


def test_alternatives_exclude_each_other_and_say_what_is_lacking() -> None:
    sheet = sheet_of("braking-distance", speed="80", deceleration="6")
    sheet = sheet.with_text("at_80", "31")
    assert sheet.entries["deceleration"].is_empty
    (lacking,) = outcome(sheet).missing
    assert lacking == catalogue.get("braking-distance").input("at_10").label
    assert sheet.with_text("deceleration", "6").entries["at_80"].is_empty


def test_the_empty_input_is_the_one_solved_for() -> None:
    sheet = sheet_of("reduction", driving_teeth="13").with_wanted("ratio", "4")
    result = outcome(sheet)
    assert result.solved == "driven_teeth"
    assert result.solution is not None
    assert result.solution.value == 52.0
    taken = sheet.with_taken("driven_teeth", 52.0)
    assert taken.entries["driven_teeth"].text == "52"
    assert outcome(taken).answers["ratio"] == 4.0


def test_several_that_are_missing_are_asked_for_first() -> None:
    result = outcome(sheet_of("precharge").with_wanted("time", "0.5"))
    assert result.solution is None
    assert result.missing


def test_a_solved_value_that_is_not_usual_is_doubted() -> None:
    sheet = sheet_of("wheel-speed", ratio="7.5", rollout="2.07").with_wanted("road_speed", "900")
    result = outcome(replace(sheet, over="motor_speed"))
    assert result.remarks["motor_speed"].kind == "doubtful"
    assert result.answers


@pytest.mark.parametrize(
    ("name", "field", "text", "kind", "said"),
    [
        ("pack-voltage", "series", "14.5", "refused", "a whole number"),
        ("pack-voltage", "series", "0", "refused", "from 1 to 400"),
        ("silicon-sensor", "family", "PT", "refused", "one of KTY84"),
        ("silicon-sensor", "family", "kty81", "refused", "one of KTY84"),
        ("repeatability", "readings", "84.0", "refused", "or more numbers"),
        ("repeatability", "readings", "84.0 x", "refused", "not a known unit"),
        ("wheel-speed", "ratio", "50", "doubtful", "usual is 2 to 20"),
        ("wheel-speed", "motor_speed", "20000 r/min", "doubtful", "usual is up to 15000 r/min"),
    ],
)
def test_remarks(name: str, field: str, text: str, kind: str, said: str) -> None:
    remark = outcome(sheet_of(name, **{field: text})).remarks[field]
    assert remark.kind == kind
    assert said in remark.text


def test_a_choice_goes_round() -> None:
    sheet = new(catalogue.get("silicon-sensor"))
    seen = []
    for _ in range(3):
        sheet = sheet.with_next_unit("family")
        seen.append(sheet.entries["family"].text)
    assert seen == ["KTY81-1", "KTY81-2", "KTY84"]


def test_a_usual_answer_is_taken_before_one_that_is_not() -> None:
    sheet = sheet_of("pack-sag", open_voltage="84", resistance="200", current="100")
    result = outcome(sheet.with_wanted("voltage", "130"))
    # U = U0 - I·R by hand: 150 V open-circuit is not usual, charging with 230 A is.
    assert result.solved == "current"
    assert result.solution is not None
    assert result.solution.value == pytest.approx(-230.0)


def test_where_no_answer_is_usual_the_field_typed_last_is_solved_for() -> None:
    typed = {"ratio": "7.5", "rollout": "2.07", "motor_speed": "5000"}
    for last in typed:
        order = [*(name for name in typed if name != last), last]
        sheet = sheet_of("wheel-speed", **{name: typed[name] for name in order})
        result = outcome(sheet.with_wanted("road_speed", "2000"))
        assert result.remarks[last].kind == "doubtful"
        assert result.solved == last
