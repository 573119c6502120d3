"""Traps of pack, wiring, motor and rotor sensors that the naive formula fails."""

from __future__ import annotations

import math
from itertools import permutations, product
from typing import TYPE_CHECKING, Any

import pytest

from commission.calculators.typed import compute_typed
from commission.errors import CalculationError
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.calculators.base import Answer


def outputs(name: str, **typed: str) -> dict[str, Any]:
    """Return a calculator's outputs in their declared units."""
    done = compute_typed(name, typed)
    return {
        each.name: unit(each.unit).from_si(value) if isinstance(value, float) else value
        for each in done.calculator.outputs
        if (value := done.result.outputs.get(each.name)) is not None
    }


def number(name: str, output: str, **typed: str) -> float:
    value = outputs(name, **typed)[output]
    assert isinstance(value, float)
    return value


MOTOR = {"pole_pairs": "5", "flux": "0.020", "d_inductance": "60", "q_inductance": "90"}


def test_voltage_class_follows_the_full_pack_not_its_name() -> None:
    for series, class_b in (("14", False), ("15", True), ("16", True)):
        assert outputs("pack-voltage", series=series)["class_b"] is class_b


def test_sag_makes_the_current_larger_than_power_over_nominal_voltage() -> None:
    naive = 12000 / 72
    got = number("pack-sag", "current_drawn", open_voltage="72", resistance="50", power="12")
    assert got > 1.15 * naive


def test_more_power_than_a_pack_can_ever_give_is_refused() -> None:
    with pytest.raises(CalculationError, match="can never give 26 kW"):
        outputs("pack-sag", open_voltage="72", resistance="50", power="26")


def test_power_limit_draws_its_worst_current_from_an_empty_pack() -> None:
    got = outputs("battery-current-limit", power="10", cutoff_voltage="60", full_voltage="84")
    assert got["current_at_cutoff"] == pytest.approx(166.67, abs=0.01)
    assert got["current_at_full"] == pytest.approx(119.05, abs=0.01)


@pytest.mark.parametrize("temperature", ["-0.1 degC", "-20 degC", "46 degC"])
def test_nothing_may_be_charged_outside_the_charging_temperatures(temperature: str) -> None:
    got = outputs(
        "charge-limit", series="20", parallel="8", cell_current="3", cell_full="4.2",
        open_voltage="76", resistance="60", temperature=temperature,
    )  # fmt: skip
    assert got["current"] == 0.0


@pytest.mark.parametrize("open_voltage", ["84", "84.1"])
def test_a_full_pack_takes_nothing(open_voltage: str) -> None:
    got = outputs(
        "charge-limit", series="20", parallel="8", cell_current="3", cell_full="4.2",
        open_voltage=open_voltage, resistance="60", temperature="20 degC",
    )  # fmt: skip
    assert got["current"] == pytest.approx(0.0, abs=1e-9)
    assert got["limited_by"] == "voltage"


@pytest.mark.parametrize("area", ["10", "16", "25", "35", "50"])
def test_flexible_cable_has_more_resistance_than_its_cross_section_says(area: str) -> None:
    assert 10.5 < number("flexible-cable", "above_solid", area=area) < 13.5


def test_voltage_is_lost_in_both_conductors() -> None:
    """The loop is asked for: the one-way length would give half the drop of 16 mm² at 150 A."""
    per_metre = 1.21e-3
    got = number(
        "voltage-drop", "drop", current="150", loop_length="2.4", area="16",
        temperature="20 degC",
    )  # fmt: skip
    assert got == pytest.approx(150 * per_metre * 2 * 1.2)


def test_warm_copper_loses_a_fifth_more() -> None:
    cold, warm = (
        number("voltage-drop", "drop", current="150", loop_length="2.4", area="16", temperature=t)
        for t in ("20 degC", "70 degC")
    )
    assert warm / cold == pytest.approx(1.1965, abs=1e-4)


def test_copper_constants_are_told_apart() -> None:
    got = outputs("copper-temperature", resistance="100", temperature="70 degC")
    assert got["factor"] != pytest.approx(got["cable_factor"], abs=2e-3)
    other = number(
        "copper-temperature", "factor", resistance="100", temperature="70 degC", constant="235"
    )
    assert other != got["factor"]


def test_half_a_square_of_the_capacitor_is_lost_whatever_the_resistor() -> None:
    heats = {
        number("precharge", "energy", voltage="84", capacitance="3 mF", resistance=ohms)
        for ohms in ("10", "100", "1000")
    }
    assert len(heats) == 1
    assert heats.pop() == pytest.approx(0.5 * 3e-3 * 84**2)


def test_three_time_constants_are_not_full() -> None:
    got = outputs("precharge", voltage="84", capacitance="2 mF", resistance="100", fraction="99")
    assert got["time"] == pytest.approx(4.6052 * 0.2, abs=1e-4)


def test_a_load_during_precharge_stops_the_voltage_short() -> None:
    with pytest.raises(CalculationError, match=r"stops at 74 V and never reaches 95 % of 84 V"):
        outputs("precharge", voltage="84", capacitance="2 mF", resistance="100", load_current="0.1")


def test_fuse_for_vehicles_is_not_rated_for_a_full_pack() -> None:
    got = outputs("fuse-rating", current="150", full_voltage="84", fuse_voltage="70")
    assert got["voltage_suffices"] is False
    assert got["least_rating"] == pytest.approx(200.0)


def test_kv_conventions_are_roots_of_two_and_three_apart() -> None:
    got = [
        number("motor-constants", "kv_peak_line", pole_pairs="5", kv="60", kv_convention=each)
        for each in ("peak-line", "rms-line", "peak-phase")
    ]
    assert got[0] / got[1] == pytest.approx(math.sqrt(2))
    assert got[0] / got[2] == pytest.approx(math.sqrt(3))


def test_torque_constants_per_peak_per_rms_and_block_differ() -> None:
    got = outputs("motor-constants", pole_pairs="5", kv="60")
    naive = 9.5493 / 60
    assert got["kt_block"] == pytest.approx(naive, rel=1e-4)
    assert naive / float(got["kt_per_peak"]) == pytest.approx(1.155, abs=1e-3)
    assert naive / float(got["kt_per_rms"]) == pytest.approx(1 - 0.184, abs=1e-3)


def test_torque_with_power_invariant_values_and_the_factor_of_amplitude_is_half_too_large() -> None:
    root = math.sqrt(1.5)
    right = number("torque", "torque", **MOTOR, d_current="0", q_current="200")
    motor = MOTOR | {"flux": str(0.020 * root)}
    mixed = number("torque", "torque", **motor, d_current="0", q_current=str(200 * root))
    assert mixed / right == pytest.approx(1.5)


def test_the_next_size_of_fuse_may_be_more_than_the_cable_carries() -> None:
    """140 A ask for 186.7 A; the next fuse is one of 200 A, and the cable carries 190 A."""
    got = outputs(
        "fuse-rating", current="140", full_voltage="84", fuse_voltage="125", cable_current="190"
    )
    assert got["fits_cable"]
    next_size = next(size for size in (160, 200, 250) if size >= got["least_rating"])
    assert next_size == 200
    assert next_size > 190


def test_no_time_to_wait_is_not_no_energy() -> None:
    got = outputs("discharge-time", voltage="58", capacitance="3 mF", resistance="10 kΩ")
    assert got["time"] == 0.0
    assert got["energy_left"] == pytest.approx(0.003 * 58**2 / 2)
    assert got["energy_left"] > 25 * 0.2


def test_back_emf_in_volts_rms_is_root_two_of_the_peak() -> None:
    """60 r/min per volt peak are 16.67 V peak and 11.79 V rms at 1000 r/min."""
    peak = number("motor-constants", "ke_peak_line", pole_pairs="5", kv="60")
    as_rms = number("motor-constants", "kv_peak_line", pole_pairs="5", ke="11.785")
    assert peak / math.sqrt(2) == pytest.approx(11.785, abs=0.001)
    assert as_rms == pytest.approx(60 * math.sqrt(2), abs=0.01)


def test_poles_are_twice_the_pole_pairs() -> None:
    got = outputs("electrical-speed", pole_pairs="4", motor_speed="3000")
    assert got["poles"] == 8.0
    assert got["electrical_frequency"] == pytest.approx(200.0)


def test_sine_triangle_modulation_ends_thirteen_per_cent_below_space_vector() -> None:
    speeds = [
        number("base-speed", "no_load_speed", **MOTOR, voltage="72", modulation=each)
        for each in ("sine-triangle", "space-vector")
    ]
    assert speeds[0] / speeds[1] == pytest.approx(math.sqrt(3) / 2)


def test_battery_current_is_neither_phase_current_nor_half_of_it() -> None:
    got = outputs(
        "battery-current", voltage="72", phase_current="316.228", torque="51.75",
        motor_speed="200 rad/s", phase_resistance="6",
    )  # fmt: skip
    assert got["current_ratio"] == pytest.approx(0.4941, abs=1e-3)


def test_cold_magnets_raise_the_overspeed_voltage() -> None:
    typed = {"kv": "60", "motor_speed": "6000", "rating": "100"}
    got = outputs("overspeed-voltage", **typed, magnet_temperature="-25 degC")
    assert got["reference_voltage"] == pytest.approx(100.0)
    assert got["voltage"] == pytest.approx(104.95)
    assert got["within"] is False


def test_line_resistance_with_factor_three_would_double_the_loss() -> None:
    by_line = number("copper-loss", "loss", current="223.607", line_resistance="12")
    assert by_line == pytest.approx(900, abs=0.1)
    assert pytest.approx(2 * by_line, rel=1e-4) == 3 * 223.607**2 * 12e-3


def test_star_equivalent_is_half_of_the_reading_for_delta_too() -> None:
    got = outputs("phase-resistance", ab="8", bc="8", ca="8")
    assert got["star_resistance"] == pytest.approx(4.0)
    assert got["star_resistance"] == pytest.approx(float(got["delta_resistance"]) / 3)


@pytest.mark.parametrize("degrees", range(0, 180, 7))
def test_inductances_are_found_at_any_rotor_angle(degrees: int) -> None:
    readings = [150 - 30 * math.cos(2 * math.radians(degrees + shift)) for shift in (30, -90, 150)]
    typed = dict(zip(("ab", "bc", "ca"), map(str, readings), strict=True))
    got = outputs("dq-inductance", **typed)
    assert got["d_inductance"] == pytest.approx(60, abs=1e-6)
    assert got["q_inductance"] == pytest.approx(90, abs=1e-6)


def test_half_least_and_half_largest_of_three_readings_under_read_the_saliency() -> None:
    naive = (180 / 2) / (135 / 2)
    assert number("dq-inductance", "saliency", ab="135", bc="180", ca="135") > 1.12 * naive


def test_angles_are_not_averaged_along_a_line() -> None:
    mean = number("sensor-spread", "mean", angles="358 2")
    assert math.cos(math.radians(mean)) == pytest.approx(1.0)


def test_spread_of_five_runs_is_corrected_for_their_number() -> None:
    got = outputs("sensor-spread", angles="58.5 61.0 60.2 59.4 60.9")
    assert float(got["spread"]) / float(got["population_spread"]) == pytest.approx(math.sqrt(5 / 4))


def test_spread_is_not_the_angular_deviation_of_the_same_name() -> None:
    got = outputs("sensor-spread", angles="0 60 120 200")
    angular = math.degrees(math.sqrt(2 * (1 - float(got["resultant"]))))
    assert got["population_spread"] > 1.1 * angular


def test_directions_that_cancel_have_no_mean() -> None:
    with pytest.raises(CalculationError, match="cancel"):
        outputs("sensor-spread", angles="0 180")


def test_zero_and_seven_belong_to_sixty_degree_placement() -> None:
    got = outputs("sensor-sequence", states="7 3 1 0 4 6")
    assert (got["placement"], got["direction"], got["sound"]) == ("60", "forward", True)


@pytest.mark.parametrize(
    ("stuck", "states"),
    [("A low", "1 0 2 2 3 1"), ("B high", "7 6 6 2 3 3"), ("C low", "4 4 6 2 2 0")],
)
def test_dead_sensor_is_named(stuck: str, states: str) -> None:
    got = outputs("sensor-sequence", states=states)
    assert got["dead"] == stuck
    assert got["sound"] is False


def test_sequences_of_both_placements_follow_from_the_axes_of_the_sensors() -> None:
    for placement, pitch in (("120", 120), ("60", 60)):
        states = []
        for degrees in range(-15, 345, 60):
            bits = [math.cos(math.radians(degrees - k * pitch)) > 0 for k in range(3)]
            states.append(str(4 * bits[0] + 2 * bits[1] + bits[2]))
        got = outputs("sensor-sequence", states=" ".join(states))
        assert (got["placement"], got["direction"]) == (placement, "forward")


def test_swapping_any_two_sensor_wires_reverses_the_order() -> None:
    for swap in ((1, 0, 2), (2, 1, 0), (0, 2, 1)):
        states = []
        for state in (5, 4, 6, 2, 3, 1):
            bits = [state >> 2 & 1, state >> 1 & 1, state & 1]
            states.append(str(4 * bits[swap[0]] + 2 * bits[swap[1]] + bits[swap[2]]))
        assert outputs("sensor-sequence", states=" ".join(states))["direction"] == "reverse"


def test_inverting_the_middle_sensor_turns_one_placement_into_the_other() -> None:
    inverted = " ".join(str(state ^ 2) for state in (5, 4, 6, 2, 3, 1))
    assert outputs("sensor-sequence", states=inverted)["placement"] == "60"


def test_every_pair_of_states_is_judged_as_enumeration_says() -> None:
    counts: dict[Answer, int] = {}
    for old, new in product("01234567", repeat=2):
        direction = outputs("turning-direction", old_state=old, new_state=new)["direction"]
        counts[direction] = counts.get(direction, 0) + 1
    assert counts == {"forward": 6, "reverse": 6, "none": 6, "missed": 18, "invalid": 28}


def test_only_the_twelve_rotations_of_the_two_orders_are_sound() -> None:
    sound = [
        order
        for order in permutations("123456")
        if outputs("sensor-sequence", states=" ".join(order))["sound"]
    ]
    assert len(sound) == 12


def test_sectors_are_measured_around_the_circle() -> None:
    got = outputs("sector-error", edges="333 33 93 153 213 273", first_edge="330", pole_pairs="5")
    assert got["largest_error"] == pytest.approx(0.0, abs=1e-9)
    assert got["offset"] == pytest.approx(3.0)
