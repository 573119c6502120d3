"""A wished output as typed: the input left out is found, or it is said why not."""

from __future__ import annotations

import pytest

from commission.calculators.typed import compute_typed
from commission.calculators.wish import grant
from commission.errors import CalculationError
from commission.quantities import unit

WHEEL = {"ratio": "7.5", "rollout": "2 m"}
SAG = {"open_voltage": "72", "resistance": "50"}


def found(name: str, find: str = "", **typed: str) -> tuple[str, float]:
    """Return the input that was found and its value in its own unit."""
    granted = grant(name, typed, find)
    value = granted.calculation.inputs[granted.found.name]
    assert isinstance(value, float)
    return granted.found.name, unit(granted.found.unit).from_si(value)


def test_the_input_left_out_is_found_and_gives_the_output_forward() -> None:
    """60 km/h are 1000 m a minute: 500 turns of a wheel of 2 m, 3750 of the motor."""
    name, value = found("wheel-speed", **WHEEL, road_speed="60 km/h")
    assert name == "motor_speed"
    assert value == pytest.approx(3750)
    forward = compute_typed("wheel-speed", {**WHEEL, "motor_speed": "3750"}).result.outputs
    assert unit("km/h").from_si(float(forward["road_speed"])) == pytest.approx(60)


def test_a_wish_takes_any_unit_of_its_dimension() -> None:
    metric = found("wheel-speed", **WHEEL, road_speed="96.56064 km/h")
    assert found("wheel-speed", **WHEEL, road_speed="60 mph")[1] == pytest.approx(metric[1])


def test_needed_inputs_are_found_before_alternatives_and_those_before_the_rest() -> None:
    given = {"motor_speed": "4000", "rollout": "2 m", "road_speed": "60"}
    name, value = found("wheel-speed", **given)
    assert name == "ratio"
    assert value == pytest.approx(8)
    assert found("pack-sag", **SAG, voltage="60")[0] == "current"


def test_an_input_with_a_default_is_found_only_where_it_is_named() -> None:
    given = {"torque": "50", "ratio": "8", "radius": "300", "thrust": "1200"}
    with pytest.raises(CalculationError, match="nothing was left out") as refused:
        grant("wheel-thrust", given)
    assert "--find" in refused.value.hint
    assert found("wheel-thrust", "efficiency", **given)[1] == pytest.approx(90)


def test_of_two_values_the_usual_one_is_taken_and_the_other_told() -> None:
    """10 kW from 72 V and 50 mΩ: 0.05·I² − 72·I + 10 000 = 0 has the roots 155.7 and 1284.3."""
    granted = grant("pack-sag", {**SAG, "power_delivered": "10"})
    assert granted.calculation.inputs["current"] == pytest.approx(155.7306, abs=1e-4)
    assert list(granted.others) == pytest.approx([1284.2694], abs=1e-4)


@pytest.mark.parametrize(
    ("name", "typed", "find", "says"),
    [
        ("guard-band", {"nominal": "0", "tolerance": "1", "expanded": "0.3", "probability": "97"},
         "", "Not one answer: it is 97.00 % at -0.717881 and 0.717881"),
        ("pack-sag", {**SAG, "power_delivered": "40"}, "", "never more than 25.92 kW"),
        ("pack-voltage", {"full_voltage": "59"}, "", "14 cells gives 58.80 V; 15 cells gives 63"),
        ("pack-voltage", {"series": "14", "class_b": "yes"}, "", "no number"),
        ("pack-sag", {**SAG, "voltage": "60", "sag": "3"}, "", "voltage and sag cannot"),
        ("pack-sag", {**SAG, "voltage": "sixty"}, "", "voltage: 'sixty' is not a number"),
        ("pack-sag", {**SAG, "voltage": "60 A"}, "", "cannot be turned into V"),
        ("pack-sag", SAG, "current", "no output to find it by"),
        ("pack-sag", {**SAG, "current": "9", "voltage": "60"}, "current", "is to be found"),
        ("pack-sag", {**SAG, "voltage": "60"}, "curent", "no input that can be found"),
        ("pack-sag", {**SAG, "voltage": "60", "amps": "1"}, "", "has no input 'amps'"),
        ("sensor-spread", {"mean": "5 deg"}, "", "angles must be given to find stored"),
        ("fuse-pulse", {"waveform": "square", "pulse": "2000"}, "", "duration must be given"),
    ],
)  # fmt: skip
def test_what_cannot_be_granted_is_refused_and_said_why(
    name: str, typed: dict[str, str], find: str, says: str
) -> None:
    with pytest.raises(CalculationError) as refused:
        grant(name, typed, find)
    assert says in refused.value.diagnostics()
