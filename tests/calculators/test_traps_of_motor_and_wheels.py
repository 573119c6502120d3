"""Traps of motor, rotor sensors and driveline that the naive formula fails."""

from __future__ import annotations

import math
from typing import Any

import pytest

from commission.calculators.typed import compute_typed
from commission.quantities import unit

MOTOR = {"pole_pairs": "5", "flux": "0.020", "d_inductance": "60", "q_inductance": "90"}
ROAD = {"mass": "200", "constant": "8.69", "quadratic": "0.0252"}
TYRE = {"width": "90", "aspect": "90", "rim": "21"}
FORWARD = (5, 4, 6, 2, 3, 1)


def outputs(name: str, **typed: str) -> dict[str, Any]:
    """Return a calculator's outputs in their declared units."""
    done = compute_typed(name, typed)
    return {
        each.name: unit(each.unit).from_si(value) if isinstance(value, float) else value
        for each in done.calculator.outputs
        if (value := done.result.outputs.get(each.name)) is not None
    }


def test_one_power_invariant_value_among_the_others_costs_a_factor_of_one_point_two_two() -> None:
    right = outputs("torque", **MOTOR, d_current="0", q_current="200")["torque"]
    mixed = outputs("torque", **MOTOR, d_current="0", q_current=str(200 * math.sqrt(1.5)))
    assert mixed["torque"] / right == pytest.approx(1.2247, abs=1e-4)


def test_sag_lowers_the_base_speed() -> None:
    loaded = outputs("pack-sag", open_voltage="80", resistance="50", current="150")["voltage"]
    at_rest, sagged = (
        outputs("base-speed", **MOTOR, voltage=str(volts), q_current="200")["base_speed"]
        for volts in (80, loaded)
    )
    assert sagged < 0.95 * at_rest


def test_when_weakening_ends_the_capacitors_get_more_than_the_battery_has() -> None:
    typed = {"pole_pairs": "5", "flux": "0.020"}
    kv = outputs("motor-constants", **typed)["kv_peak_line"]
    weakened = outputs("field-weakening", **MOTOR, voltage="72", motor_speed="6000")
    over = outputs("overspeed-voltage", kv=str(kv), motor_speed="6000", rating="100")
    assert weakened["weakening"] is True
    assert over["reference_voltage"] > 1.5 * 72
    assert over["within"] is False


def test_weakening_current_heats_and_gives_no_torque_of_its_own() -> None:
    got = outputs("torque", **MOTOR, d_current="-170", q_current="0")
    loss = outputs("copper-loss", current=str(170 / math.sqrt(2)), phase_resistance="6")["loss"]
    assert got["torque"] == 0.0
    assert loss == pytest.approx(1.5 * 170**2 * 6e-3)


def test_duty_times_phase_current_is_not_the_battery_current() -> None:
    typed = {"voltage": "72", "phase_current": "316.228"}
    got = outputs("battery-current", **typed, modulation="0.4417016", power_factor="0.7457612")
    duty = 0.4417016 / (1 / math.sqrt(3))
    assert duty * 316.228 > 1.5 * got["battery_current"]


def test_factor_of_three_with_peak_values_doubles_the_power() -> None:
    typed = {"voltage": "72", "phase_current": "100"}
    got = outputs("battery-current", **typed, modulation="0.5", power_factor="0.8")
    assert pytest.approx(2 * got["power"]) == 3 * (0.5 * 72) * 100 * 0.8


def test_a_bike_downhill_passes_its_speed_limit() -> None:
    typed = {"kv": "60", "rating": "100"}
    limited = outputs("overspeed-voltage", **typed, motor_speed="4500")
    downhill = outputs("overspeed-voltage", **typed, motor_speed="6000")
    assert (limited["within"], downhill["within"]) == (True, False)


@pytest.mark.parametrize("factor", [math.sqrt(2), math.sqrt(3)])
def test_speed_constants_of_other_volts_look_safe(factor: float) -> None:
    typed = {"motor_speed": "6000", "rating": "100"}
    right = outputs("overspeed-voltage", **typed, kv="60")
    wrong = outputs("overspeed-voltage", **typed, kv=str(60 * factor))
    assert (right["within"], wrong["within"]) == (False, True)


def test_warm_winding_has_two_fifths_more_resistance() -> None:
    warm = outputs("copper-temperature", resistance="6", temperature="20", target="120")
    assert warm["factor"] == pytest.approx(1.39, abs=0.005)


def test_a_coefficient_of_zero_degrees_applied_from_twenty_reads_low() -> None:
    typed = {"cold_resistance": "50 Ω", "cold_temperature": "20", "warm_resistance": "58 Ω"}
    naive = 20 + (58 / 50 - 1) / 0.0043
    assert outputs("winding-temperature", **typed)["temperature"] - naive == pytest.approx(
        3.6, abs=0.05
    )


def swapped(state: int) -> int:
    """Return the state with sensors A and B exchanged."""
    return (state & 1) | (state >> 1 & 2) | (state << 1 & 4)


def test_swapped_sensor_wires_and_swapped_phases_hide_each_other() -> None:
    """Two phases swapped turn the motor backwards; two sensor wires swapped read that forward."""
    backwards = FORWARD[::-1]
    for states, direction in (
        (backwards, "reverse"),
        (tuple(map(swapped, FORWARD)), "reverse"),
        (tuple(map(swapped, backwards)), "forward"),
    ):
        got = outputs("sensor-sequence", states=" ".join(map(str, states)))
        assert got["direction"] == direction
        steps = [
            outputs("turning-direction", old_state=str(old), new_state=str(new))["direction"]
            for old, new in zip(states, (*states[1:], states[0]), strict=True)
        ]
        assert set(steps) == {direction}


def test_a_degree_at_the_sensor_is_a_fraction_of_it_at_the_shaft() -> None:
    got = outputs("sector-error", edges="31 90 150 210 270 330", pole_pairs="5")
    assert got["largest_error"] / got["mechanical_error"] == pytest.approx(5.0)


def test_the_ratio_upside_down_is_sixteen_times_too_fast() -> None:
    right = outputs("reduction", driving_teeth="12", driven_teeth="48")["ratio"]
    wrong = outputs("reduction", driving_teeth="48", driven_teeth="12")["ratio"]
    fast, slow = (
        outputs("wheel-speed", motor_speed="4000", ratio=str(each), rollout="2")["road_speed"]
        for each in (wrong, right)
    )
    assert fast / slow == pytest.approx(16.0)


def test_printed_diameter_reads_two_to_four_per_cent_too_fast() -> None:
    tyre = outputs("tyre-size", **TYRE)
    rolled = outputs("rollout", distance=str(3e-3 * tyre["rolling_least"]), turns="3")["rollout"]
    typed = {"motor_speed": "4000", "ratio": "4"}
    measured = outputs("wheel-speed", **typed, rollout=str(rolled))["road_speed"]
    printed = outputs("wheel-speed", **typed, rollout=str(tyre["circumference"] / 1e3))
    assert 1.02 < printed["road_speed"] / measured < 1.045


def test_half_the_printed_diameter_reads_the_thrust_low() -> None:
    tyre = outputs("tyre-size", **TYRE)
    typed = {"torque": "100", "ratio": "4"}
    printed = outputs("wheel-thrust", **typed, radius=str(tyre["diameter"] / 2))["thrust"]
    rolled = outputs("wheel-thrust", **typed, rollout=str(tyre["rolling_most"] / 1e3))["thrust"]
    assert printed < 0.985 * rolled


def test_off_road_tyres_roll_several_times_harder() -> None:
    table, rough = (
        outputs("road-load", speed="0", mass="200", rolling=each, drag_area="0.55")["force"]
        for each in ("0.0044", "0.02")
    )
    assert rough > 4 * table


def test_the_pull_of_a_slope_is_a_sine() -> None:
    got = outputs("road-load", speed="0", **ROAD, gradient="45 %")
    assert (got["force"] - 8.69) / (200 * 9.80665) == pytest.approx(0.4104, abs=1e-4)


def test_power_beyond_the_gearing_changes_nothing() -> None:
    less, more = (outputs("top-speed", power=p, **ROAD, geared="90") for p in ("6", "12"))
    assert less["reached"] == more["reached"] == pytest.approx(90.0)
    assert more["limited_by"] == "gearing"


def test_turning_wheels_coast_longer() -> None:
    typed = {"from_speed": "70", "to_speed": "60", **ROAD}
    still, turning = (outputs("coast-down", **typed, rotating=each)["time"] for each in "05")
    assert turning == pytest.approx(1.05 * still)


def test_the_misprinted_row_of_the_regulation_is_no_oracle() -> None:
    """40 CFR 86.529-98 prints 4.10 s for 160 kg, within its own limits of 4.0 to 4.4 s.

    Its rows go up evenly; between 150 and 200 kg lies 4.18 s, which those limits surround.
    """
    share = (160 - 150) / (200 - 150)
    constant, quadratic = 4.32 + share * (8.69 - 4.32), 0.0238 + share * (0.0252 - 0.0238)
    typed = {"mass": "160", "constant": str(constant), "quadratic": str(quadratic)}
    got = outputs("coast-down", from_speed="70", to_speed="60", **typed)["time"]
    assert got == pytest.approx(4.18, abs=0.015)
    assert abs(got - 4.10) > 0.05
