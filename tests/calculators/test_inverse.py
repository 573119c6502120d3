"""Turned round: the input that gives an output is the one it came from, or it is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from commission.calculators import catalogue
from commission.calculators.inverse import Question, solve
from commission.calculators.roots import Stretch, sampled, taken_at
from commission.calculators.typed import compute_typed
from commission.errors import CalculationError

EVERY = [
    pytest.param(name, each.name, id=f"{name}-{each.name}")
    for name in catalogue.names()
    for each in catalogue.get(name).inputs
    if each.kind in {"number", "integer"}
]


def answer(question: Question) -> tuple[float | None, str]:
    try:
        return solve(question).value, ""
    except CalculationError as refusal:
        return None, refusal.message


@pytest.mark.parametrize(("name", "over"), EVERY)
def test_every_number_of_every_calculator_is_found_again_or_honestly_refused(
    name: str, over: str
) -> None:
    """The worked example computed back; a refusal must be right that the answer is not one."""
    worked = compute_typed(name, catalogue.get(name).example.inputs)
    if over not in worked.inputs:
        return
    for output, value in worked.result.outputs.items():
        if type(value) is not float:
            continue
        question = Question(name, worked.inputs, over, output, value)
        found, refusal = answer(question)
        if found is None:
            assert "Not one answer" in refusal or "does not depend" in refusal
            continue
        again = catalogue.compute(name, {**worked.inputs, over: found}).outputs[output]
        assert again == pytest.approx(value, rel=1e-6, abs=1e-9)
        assert found == pytest.approx(worked.inputs[over], rel=1e-6, abs=1e-9)


@given(st.floats(1.0, 199.0))
def test_road_speed_gives_the_motor_speed_it_came_from(speed_kmh: float) -> None:
    """By hand: the motor turns the ratio times as often as the wheel, which rolls 2.07 m a turn."""
    question = Question(
        "wheel-speed", {"ratio": 7.5, "rollout": 2.07}, "motor_speed", "road_speed", speed_kmh / 3.6
    )
    by_hand = speed_kmh / 3.6 / 2.07 * 7.5 * 2 * math.pi
    assert solve(question).value == pytest.approx(by_hand, rel=1e-6)


def test_the_slope_for_a_thrust_agrees_with_scipy() -> None:
    inputs = {"mass": 180.0, "rolling": 0.02}

    def miss(thrust: float) -> float:
        outputs = catalogue.compute("gradeability", {**inputs, "thrust": thrust}).outputs
        return float(outputs["gradient"]) - 0.30

    found = solve(Question("gradeability", inputs, "thrust", "gradient", 0.30)).value
    assert found == pytest.approx(optimize.brentq(miss, 10.0, 1700.0), rel=1e-7)


def test_the_precharge_resistor_for_a_time() -> None:
    """95 % in 0.5 s onto 2 mF: R = t / (C·ln 20), first-order charging by hand."""
    inputs = {"voltage": 84.0, "capacitance": 2e-3}
    found = solve(Question("precharge", inputs, "resistance", "time", 0.5)).value
    assert found == pytest.approx(0.5 / (2e-3 * math.log(20.0)), rel=1e-7)


def test_the_gauge_for_an_area_is_a_whole_number_or_names_its_neighbours() -> None:
    area = catalogue.compute("wire-gauge", {"gauge": 10.0}).outputs["area"]
    assert isinstance(area, float)
    assert solve(Question("wire-gauge", {}, "gauge", "area", area)).value == 10.0
    with pytest.raises(CalculationError, match="No whole number gives exactly") as refusal:
        solve(Question("wire-gauge", {}, "gauge", "area", 6e-6))
    assert "9" in refusal.value.hint
    assert "10" in refusal.value.hint


def test_two_answers_are_refused_and_both_named() -> None:
    """Heat in the pack, I²·R, is the same driving and charging: 100² A² · 50 mΩ = 500 W."""
    inputs = {"open_voltage": 84.0, "resistance": 0.05}
    with pytest.raises(CalculationError, match="Not one answer") as refusal:
        solve(Question("pack-sag", inputs, "current", "loss", 500.0))
    assert "-100 A and 100 A" in refusal.value.message


def test_of_two_answers_the_only_usual_one_is_given_and_the_other_named() -> None:
    """Either sign along d has the same amplitude; only a negative one is usual: 3-4-5."""
    motor = {"pole_pairs": 5.0, "flux": 0.02, "d_inductance": 60e-6, "q_inductance": 90e-6}
    solution = solve(
        Question("torque", {**motor, "q_current": 400.0}, "d_current", "amplitude", 500.0)
    )
    assert solution.value == pytest.approx(-300.0)
    assert list(solution.others) == pytest.approx([300.0])


def test_out_of_reach_says_what_can_be_reached() -> None:
    inputs = {"voltage": 84.0, "capacitance": 2e-3, "resistance": 50.0}
    with pytest.raises(CalculationError, match="No “") as refusal:
        solve(Question("precharge", inputs, "load_current", "end_voltage", 90.0))
    assert "84.00 V" in refusal.value.hint


def test_an_output_that_does_not_depend_on_the_input_is_refused() -> None:
    inputs = {"voltage": 84.0, "capacitance": 2e-3, "resistance": 50.0}
    with pytest.raises(CalculationError, match="does not depend"):
        solve(Question("precharge", inputs, "resistance", "energy", 5.0))


def test_a_text_cannot_be_solved_for() -> None:
    with pytest.raises(CalculationError, match="no number"):
        solve(Question("silicon-sensor", {"resistance": 650.0}, "family", "slope", 5.0))


def test_a_curve_that_only_touches_the_value_is_seen() -> None:
    samples = sampled(lambda x: (x - 0.3) ** 2, [0.0, 0.2, 0.5, 1.0])
    (only,) = taken_at(lambda x: (x - 0.3) ** 2, samples, 0.0)
    assert only.start == pytest.approx(0.3, abs=1e-6)


def test_a_value_jumped_over_is_not_taken() -> None:
    def step(x: float) -> float | None:
        return 0.0 if x < 0.4 else 1.0

    assert taken_at(step, sampled(step, [0.0, 0.5, 1.0]), 0.5) == []
    assert taken_at(step, sampled(step, [0.0, 0.1, 0.5, 1.0]), 1.0) == [Stretch(0.5, 1.0)]


def test_the_end_of_a_gap_is_found() -> None:
    def partly(x: float) -> float | None:
        return 1.0 / x if x > 0.01 else None

    (only,) = taken_at(partly, sampled(partly, [-1.0, 0.0, 1.0]), 50.0)
    assert only.start == pytest.approx(0.02)
