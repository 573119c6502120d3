"""Inverses, ways that agree, wrap-around and limits of the calculators."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators.catalogue import compute

if TYPE_CHECKING:
    from commission.calculators.base import Value

many = settings(max_examples=60, deadline=None)


def number(name: str, output: str, **inputs: Value) -> float:
    value = compute(name, inputs).outputs[output]
    assert isinstance(value, float)
    return value


def all_of(name: str, **inputs: Value) -> dict[str, Any]:
    return dict(compute(name, inputs).outputs)


@many
@given(st.floats(0.1, 600), st.floats(0.1, 200))
def test_current_to_rate_and_back(current: float, capacity: float) -> None:
    rate = number("c-rate", "c_rate", capacity=capacity, current=current)
    back = number("c-rate", "current_drawn", capacity=capacity, rate=rate)
    assert back == pytest.approx(current, rel=1e-12)


@many
@given(st.floats(20, 140), st.floats(1e-3, 0.1), st.floats(0.01, 0.49))
def test_current_to_power_and_back(open_voltage: float, resistance: float, share: float) -> None:
    """Up to half the short-circuit current the way back is one-to-one."""
    current = share * open_voltage / resistance
    pack = {"open_voltage": open_voltage, "resistance": resistance}
    power = number("pack-sag", "power_delivered", **pack, current=current)
    assert number("pack-sag", "current_drawn", **pack, power=power) == pytest.approx(current)


@many
@given(st.floats(1, 100), st.floats(1e-3, 0.05))
def test_power_limit_to_current_limit_and_back(kilowatt: float, resistance: float) -> None:
    pack = {"cutoff_voltage": 60.0, "full_voltage": 84.0, "resistance": resistance}
    watt = min(kilowatt * 1e3, 0.99 * 60.0 * (84.0 - 60.0) / resistance)  # above cut-off
    current = number("battery-current-limit", "current_at_full", **pack, power=watt)
    again = number("battery-current-limit", "power_at_full", **pack, current=current)
    assert again == pytest.approx(watt, rel=1e-9)


@many
@given(st.floats(-1000, 1000), st.integers(1, 30))
def test_three_ways_of_electrical_speed_agree(speed: float, pairs: int) -> None:
    done = all_of("electrical-speed", pole_pairs=float(pairs), motor_speed=speed)
    for way, output in (("electrical", "electrical_speed"), ("frequency", "electrical_frequency")):
        back = number(
            "electrical-speed", "mechanical_speed", pole_pairs=float(pairs), **{way: done[output]}
        )
        assert back == pytest.approx(speed, rel=1e-12, abs=1e-12)


@many
@given(st.floats(-40, 200), st.floats(-40, 200), st.sampled_from([234.5, 235.0]))
def test_copper_there_and_back_and_as_a_thermometer(
    cold: float, warm: float, constant: float
) -> None:
    there = number("copper-temperature", "resistance_at", resistance=0.1, constant=constant,
                   temperature=cold + 273.15, target=warm + 273.15)  # fmt: skip
    back = number("copper-temperature", "resistance_at", resistance=there, constant=constant,
                  temperature=warm + 273.15, target=cold + 273.15)  # fmt: skip
    assert back == pytest.approx(0.1, rel=1e-12)
    read = number("winding-temperature", "temperature", cold_resistance=0.1, constant=constant,
                  cold_temperature=cold + 273.15, warm_resistance=there)  # fmt: skip
    assert read == pytest.approx(warm + 273.15, abs=1e-9)


@many
@given(st.floats(0.05, 0.995), st.floats(5, 2000), st.floats(1e-4, 2e-2))
def test_precharge_time_gives_the_fraction_back(p: float, ohms: float, farad: float) -> None:
    time = number("precharge", "time", voltage=84.0, capacitance=farad, resistance=ohms, fraction=p)
    assert 1 - math.exp(-time / ohms / farad) == pytest.approx(p, rel=1e-9)


@many
@given(st.integers(8, 30), st.integers(30, 80), st.floats(0.4, 0.8))
def test_the_centre_distance_of_whole_links_gives_those_links(
    one: int, other: int, centre: float
) -> None:
    teeth = {"driving_teeth": float(one), "driven_teeth": float(other)}
    done = all_of("chain-length", **teeth, distance=centre)
    again = number("chain-length", "exact", **teeth, distance=done["distance_with"])
    assert again == pytest.approx(done["links"], rel=1e-9)


@many
@given(st.floats(-1, 1), st.floats(0, 0.66), st.floats(1, 600))
def test_battery_current_by_modulation_is_the_power_balance(
    power_factor: float, modulation: float, phase: float
) -> None:
    volts = 72.0
    got = number("battery-current", "battery_current", voltage=volts, phase_current=phase,
                 modulation=modulation, power_factor=power_factor)  # fmt: skip
    three_phases = 3 * (modulation * volts / math.sqrt(2)) * (phase / math.sqrt(2)) * power_factor
    assert got * volts == pytest.approx(three_phases, rel=1e-9, abs=1e-9)


@many
@given(st.floats(20, 2000), st.floats(80, 300), st.floats(0, 0.1))
def test_steepest_slope_is_where_the_road_load_takes_the_thrust(
    thrust: float, mass: float, rolling: float
) -> None:
    if thrust >= mass * 9:
        return
    slope = number("gradeability", "gradient", thrust=thrust, mass=mass, rolling=rolling)
    if not -2 <= slope <= 2:
        return
    standing = number("road-load", "force", speed=0.0, mass=mass, rolling=rolling, drag_area=0.5,
                      gradient=slope)  # fmt: skip
    assert standing == pytest.approx(thrust, rel=1e-9, abs=1e-9)


@many
@given(st.floats(1, 60), st.floats(1, 15), st.floats(80, 350))
def test_braking_force_over_its_distance_is_the_energy(
    speed: float, slowing: float, mass: float
) -> None:
    distance = number("braking-distance", "braking", speed=speed, deceleration=slowing)
    energy = number("kinetic-energy", "energy", mass=mass, speed=speed)
    assert mass * slowing * distance == pytest.approx(energy, rel=1e-12)


@many
@given(st.floats(0.15, 0.4), st.floats(1, 150), st.floats(1, 20))
def test_thrust_by_radius_and_by_rollout_agree(radius: float, torque: float, ratio: float) -> None:
    by_radius = number("wheel-thrust", "thrust", torque=torque, ratio=ratio, radius=radius)
    around = 2 * math.pi * radius
    by_turn = number("wheel-thrust", "thrust", torque=torque, ratio=ratio, rollout=around)
    assert by_turn == pytest.approx(by_radius, rel=1e-12)


@many
@given(st.floats(5e-6, 1e-3), st.floats(1, 3), st.floats(0, math.pi))
def test_three_readings_and_a_full_turn_find_the_same_inductances(
    along: float, saliency: float, angle: float
) -> None:
    across = along * saliency
    middle, swing = along + across, across - along
    shifts = (math.pi / 6, -math.pi / 2, 5 * math.pi / 6)
    ab, bc, ca = (middle - swing * math.cos(2 * (angle + shift)) for shift in shifts)
    three = all_of("dq-inductance", ab=ab, bc=bc, ca=ca)
    turned = all_of("dq-inductance", least=2 * along, largest=2 * across)
    for output in ("d_inductance", "q_inductance"):
        assert three[output] == pytest.approx(turned[output], rel=1e-9)


@many
@given(st.floats(0.1, 5), st.floats(0, 12))
def test_demand_undone_by_the_inverse_exponent_is_the_travel(shape: float, volts: float) -> None:
    window = {"rest": 0.86, "full": 4.19, "reading": volts}
    done = all_of("lever-window", **window, exponent=shape)
    assert done["demand"] ** (1 / shape) == pytest.approx(done["travel"], rel=1e-9, abs=1e-9)


@many
@given(st.lists(st.floats(-15, 15), min_size=6, max_size=6), st.floats(-720, 720))
def test_sectors_do_not_depend_on_where_zero_is(errors: list[float], turn: float) -> None:
    edges = [30 + 60 * k + error for k, error in enumerate(errors)]
    near, far = (
        all_of(
            "sector-error", pole_pairs=5.0, first_edge=math.radians((30 + shift) % 360),
            edges=tuple(math.radians((edge + shift) % 360) for edge in edges),
        )
        for shift in (0.0, turn)
    )  # fmt: skip
    for output in ("largest_error", "mechanical_error", "torque_loss", "offset"):
        assert far[output] == pytest.approx(near[output], abs=1e-9)


@given(st.floats(1, 1e6), st.floats(0, 30), st.integers(0, 50))
def test_meter_accuracy_is_symmetric_and_contains_the_reading(
    reading: float, percent: float, counts: int
) -> None:
    got = all_of("meter-accuracy", reading=reading, percent=percent / 100, counts=float(counts),
                 resolution=0.1)  # fmt: skip
    assert got["lowest"] <= reading <= got["highest"]
    minus = all_of("meter-accuracy", reading=-reading, percent=percent / 100,
                   counts=float(counts), resolution=0.1)  # fmt: skip
    assert minus["accuracy"] == got["accuracy"]


LIMITS: list[tuple[str, str, dict[str, Value], float]] = [
    ("pack-sag", "voltage", {"open_voltage": 72.0, "resistance": 0.0, "current": 300.0}, 72.0),
    ("pack-sag", "current_drawn", {"open_voltage": 72.0, "resistance": 0.0, "power": 7200.0}, 100),
    ("voltage-drop", "drop", {"current": 0.0, "loop_length": 2.0, "area": "25"}, 0.0),
    ("battery-current", "battery_current",
     {"voltage": 72.0, "phase_current": 0.0, "torque": 0.0, "motor_speed": 0.0,
      "phase_resistance": 0.0}, 0.0),
    ("copper-loss", "loss", {"current": 0.0, "phase_resistance": 0.006}, 0.0),
    ("road-load", "power", {"speed": 0.0, "mass": 200.0, "constant": 8.0, "quadratic": 0.3}, 0.0),
    ("kinetic-energy", "energy", {"mass": 200.0, "speed": 20.0, "end_speed": 20.0}, 0.0),
    ("overspeed-voltage", "voltage", {"kv": 6.0, "motor_speed": 0.0, "rating": 100.0}, 0.0),
    ("ntc-beta", "sensor_resistance", {"at_25": 1e4, "beta": 3435.0, "temperature": 298.15}, 1e4),
    ("platinum-sensor", "sensor_resistance", {"at_zero": 100.0, "temperature": 273.15}, 100.0),
    ("copper-temperature", "factor",
     {"resistance": 0.1, "temperature": 300.0, "target": 300.0}, 1.0),
    ("fan-power", "power_share", {"power": 18.0, "speed": 1.0}, 1.0),
    ("torque", "torque",
     {"pole_pairs": 5.0, "flux": 0.02, "d_inductance": 6e-5, "q_inductance": 9e-5,
      "d_current": -100.0, "q_current": 0.0}, 0.0),
    ("regen-power", "battery_power",
     {"mass": 200.0, "speed": 10.0, "deceleration": 0.1, "road_load": 100.0, "voltage": 84.0},
     0.0),
    ("bonding", "resistance", {"current": 1.0, "drop": 0.0}, 0.0),
    ("charge-limit", "current",
     {"series": 20.0, "parallel": 8.0, "cell_current": 0.0, "cell_full": 4.2,
      "open_voltage": 70.0, "resistance": 0.06, "temperature": 293.15}, 0.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "output", "inputs", "expected"), LIMITS)
def test_at_its_limit_a_formula_is_plain(
    name: str, output: str, inputs: dict[str, Value], expected: float
) -> None:
    assert number(name, output, **inputs) == pytest.approx(expected, abs=1e-12)
