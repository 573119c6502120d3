"""Laws that hold whatever the numbers: inverses, monotonicity, limits, wrap-around, dimensions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators.catalogue import compute
from commission.calculators.levers import lever_window
from commission.calculators.temperature_curves import KTY84, is_rising
from commission.errors import CalculationError
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.calculators.base import Value

many = settings(max_examples=100, deadline=None)
ratios, circumferences = st.floats(1, 30), st.floats(0.5, 3)


def number(name: str, output: str, **inputs: Value) -> float:
    value = compute(name, inputs).outputs[output]
    assert isinstance(value, float)
    return value


@many
@given(st.floats(0, 100), ratios, circumferences)
def test_road_speed_to_motor_speed_and_back(speed: float, ratio: float, rollout: float) -> None:
    turns = number("wheel-speed", "motor_turns", speed=speed, ratio=ratio, rollout=rollout)
    back = number("wheel-speed", "road_speed", motor_speed=turns, ratio=ratio, rollout=rollout)
    assert back == pytest.approx(speed, rel=1e-12, abs=1e-12)


@many
@given(st.floats(-200, 850), st.sampled_from([100.0, 1000.0]))
def test_platinum_temperature_and_back(celsius: float, at_zero: float) -> None:
    ohms = number(
        "platinum-sensor", "sensor_resistance", at_zero=at_zero, temperature=celsius + 273.15
    )
    back = number("platinum-sensor", "sensor_temperature", at_zero=at_zero, resistance=ohms)
    assert back == pytest.approx(celsius + 273.15, abs=1e-6)


@many
@given(st.floats(-55, 150), st.sampled_from(["KTY84", "KTY81-1", "KTY81-2"]))
def test_silicon_temperature_and_back(celsius: float, family: str) -> None:
    kelvin = max(celsius, -40.0) + 273.15
    ohms = number("silicon-sensor", "sensor_resistance", family=family, temperature=kelvin)
    back = number("silicon-sensor", "sensor_temperature", family=family, resistance=ohms)
    assert back == pytest.approx(kelvin, abs=1e-6)


@many
@given(st.floats(-60, 250), st.floats(2500, 5000))
def test_ntc_temperature_and_back_and_falling(celsius: float, beta: float) -> None:
    kelvin = celsius + 273.15
    sensor = {"at_25": 1e4, "beta": beta}
    ohms = number("ntc-beta", "sensor_resistance", **sensor, temperature=kelvin)
    assert number("ntc-beta", "sensor_temperature", **sensor, resistance=ohms) == pytest.approx(
        kelvin
    )
    assert number("ntc-beta", "sensor_resistance", **sensor, temperature=kelvin + 1) < ohms


@many
@given(st.floats(-40, 120))
def test_three_point_thermistor_and_back(celsius: float) -> None:
    points = {"t1": 273.15, "r1": 27445.0, "t2": 298.15, "r2": 1e4, "t3": 323.15, "r3": 4160.0}
    kelvin = celsius + 273.15
    ohms = number("ntc-steinhart-hart", "sensor_resistance", **points, temperature=kelvin)
    back = number("ntc-steinhart-hart", "sensor_temperature", **points, resistance=ohms)
    assert back == pytest.approx(kelvin, abs=1e-8)


def test_three_points_lie_on_their_curve() -> None:
    points = {"t1": 273.15, "r1": 27445.0, "t2": 298.15, "r2": 1e4, "t3": 323.15, "r3": 4160.0}
    for place in "123":
        kelvin = number("ntc-steinhart-hart", "sensor_temperature", **points,
                        resistance=points[f"r{place}"])  # fmt: skip
        assert kelvin == pytest.approx(points[f"t{place}"], abs=1e-9)


def test_points_of_a_rising_resistance_are_no_ntc() -> None:
    points = {"t1": 273.15, "r1": 1e3, "t2": 298.15, "r2": 1100.0, "t3": 323.15, "r3": 1200.0}
    with pytest.raises(CalculationError, match="not those of an NTC"):
        compute("ntc-steinhart-hart", {**points, "resistance": 1050.0})


def test_table_of_the_silicon_sensor_rises() -> None:
    assert is_rising(KTY84)


@many
@given(st.lists(st.floats(-1, 1), min_size=2, max_size=10), st.floats(-20, 20))
def test_statistics_of_angles_do_not_depend_on_where_zero_is(
    angles: list[float], shift: float
) -> None:
    near = tuple(angles)
    far = tuple((angle + shift) % (2 * math.pi) for angle in angles)
    for output in ("spread", "population_spread", "range", "resultant"):
        one, other = (number("sensor-spread", output, angles=each) for each in (near, far))
        assert other == pytest.approx(one, abs=1e-7)
    turned = number("sensor-spread", "mean", angles=far)
    mean = number("sensor-spread", "mean", angles=near)
    assert math.cos(turned - mean - shift) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0, 6.283), st.floats(0, 6.283))
def test_distance_from_the_stored_angle_is_at_most_half_a_turn(mean: float, stored: float) -> None:
    got = number("sensor-spread", "from_stored", angles=(mean, mean), stored=stored)
    assert -math.pi - 1e-9 <= got <= math.pi + 1e-9
    assert math.cos(stored + got - mean) == pytest.approx(1.0, abs=1e-9)


@many
@given(st.floats(0, 10), st.floats(0, 10))
def test_travel_rises_with_voltage_and_stays_within_its_ends(one: float, other: float) -> None:
    low, high = sorted((one, other))
    window = {"rest": 0.86, "full": 4.19}
    travels = [number("lever-window", "travel", **window, reading=each) for each in (low, high)]
    assert 0.0 <= travels[0] <= travels[1] <= 1.0


def test_dead_bands_wider_than_the_lever_leave_no_window() -> None:
    with pytest.raises(CalculationError, match="travel would begin at"):
        lever_window.function(1.0, 1.1, 0.1, 0.1, 1.0, None)


@many
@given(st.floats(60.1, 500), st.floats(1e-4, 1e-2), st.floats(100, 1e5))
def test_discharge_wait_grows_with_every_part(volts: float, farad: float, ohms: float) -> None:
    wait = number("discharge-time", "time", voltage=volts, capacitance=farad, resistance=ohms)
    for more in ((volts * 1.1, farad, ohms), (volts, farad * 1.1, ohms), (volts, farad, ohms * 2)):
        parts = dict(zip(("voltage", "capacitance", "resistance"), more, strict=True))
        assert number("discharge-time", "time", **parts) > wait


@given(st.floats(0, 60))
def test_nothing_is_waited_for_below_the_safe_voltage(volts: float) -> None:
    got = number("discharge-time", "time", voltage=volts, capacitance=3e-3, resistance=1e4)
    assert got == 0.0


@many
@given(st.floats(0.1, 200), st.integers(1, 30))
def test_motor_constants_come_back_from_each_of_them(kv: float, pairs: int) -> None:
    declared = compute("motor-constants", {"pole_pairs": float(pairs), "kv": kv}).outputs
    ways = {"ke": "ke_peak_line", "kt_rms": "kt_per_rms", "flux": "flux_linkage"}
    for given_as, output in ways.items():
        value = declared[output]
        again = compute("motor-constants", {"pole_pairs": float(pairs), given_as: value}).outputs
        assert again["kv_peak_line"] == pytest.approx(kv, rel=1e-9)


@many
@given(st.floats(0, 500), st.floats(0, 2 * math.pi), st.floats(2e-5, 2e-4), st.floats(2e-5, 2e-4))
def test_no_angle_gives_more_torque_than_the_best(
    amplitude: float, angle: float, d_inductance: float, q_inductance: float
) -> None:
    got = compute(
        "torque",
        {"pole_pairs": 5.0, "flux": 0.02, "d_inductance": d_inductance,
         "q_inductance": q_inductance, "d_current": amplitude * math.cos(angle),
         "q_current": amplitude * math.sin(angle)},
    ).outputs  # fmt: skip
    assert float(got["torque"]) <= float(got["best_torque"]) * (1 + 1e-9) + 1e-9


@many
@given(st.floats(1, 400), st.floats(0, 1000), st.floats(0, 0.05))
def test_base_speed_uses_up_the_voltage(volts: float, amperes: float, ohms: float) -> None:
    motor = {"pole_pairs": 5.0, "flux": 0.02, "d_inductance": 6e-5, "q_inductance": 9e-5}
    inputs = {"voltage": volts, "q_current": amperes, "phase_resistance": ohms}
    try:
        got = compute("base-speed", {**motor, **inputs}).outputs
    except CalculationError:
        assert ohms * amperes >= volts / math.sqrt(3) * (1 - 1e-9)
        return
    omega = float(got["base_speed"]) * 5
    u_d, u_q = -omega * 9e-5 * amperes, ohms * amperes + omega * 0.02
    assert math.hypot(u_d, u_q) == pytest.approx(volts / math.sqrt(3), rel=1e-9)


@many
@given(st.floats(20, 140), st.floats(1e-3, 0.3), st.floats(0, 100))
def test_two_loads_give_back_the_pack_that_made_them(
    open_voltage: float, resistance: float, light: float
) -> None:
    heavy = light + 20.0
    volts = [open_voltage - current * resistance for current in (light, heavy)]
    if volts[1] <= 0:
        return
    got = compute(
        "pack-resistance",
        {"light_current": light, "light_voltage": volts[0], "heavy_current": heavy,
         "heavy_voltage": volts[1]},
    ).outputs  # fmt: skip
    assert got["resistance"] == pytest.approx(resistance, rel=1e-6)
    assert got["open_voltage"] == pytest.approx(open_voltage, rel=1e-6)


@many
@given(st.floats(1, 60), st.floats(1, 15))
def test_measured_braking_distance_gives_back_the_deceleration(v: float, slowing: float) -> None:
    got = compute("braking-distance", {"speed": v, "deceleration": slowing}).outputs
    back = number("braking-distance", "mean_deceleration", speed=v, distance=got["braking"])
    assert back == pytest.approx(slowing, rel=1e-12)
    at_80, at_10 = (v * v * (1 - share**2) / (2 * slowing) for share in (0.8, 0.1))
    developed = number("braking-distance", "mean_deceleration", speed=v, at_80=at_80, at_10=at_10)
    assert developed == pytest.approx(slowing, rel=1e-9)


@many
@given(st.floats(10, 60), st.floats(0.2, 4))
def test_regeneration_never_gives_back_more_than_the_bike_has(v: float, slowing: float) -> None:
    """The power over the whole stop, linear in the speed, is at most the recoverable energy."""
    stop = compute(
        "regen-power", {"mass": 200.0, "speed": v, "deceleration": slowing, "voltage": 84.0}
    ).outputs
    energy = float(stop["battery_power"]) * (v / slowing) / 2
    assert energy <= float(stop["recoverable"]) * (1 + 1e-12)


def test_charging_current_and_deceleration_are_each_others_inverse() -> None:
    limit = 31.84
    bike = {"mass": 200.0, "speed": 60 / 3.6, "road_load": 99.41, "voltage": 84.0}
    slowing = number("regen-power", "deceleration_limit", **bike, deceleration=1.0,
                     charge_limit=limit)  # fmt: skip
    assert number("regen-power", "current", **bike, deceleration=slowing) == pytest.approx(limit)


@many
@given(st.lists(st.floats(0, 500), min_size=1, max_size=8), st.floats(1, 60))
def test_converter_takes_what_it_gives_and_its_losses(loads: list[float], volts: float) -> None:
    got = compute(
        "supply-budget", {"loads": tuple(loads), "output_voltage": volts, "input_voltage": 50.0}
    ).outputs
    assert float(got["input_current"]) * 50 * 0.88 == pytest.approx(got["power"])
    assert got["output_current"] == pytest.approx(got["peak_current"])


@many
@given(st.floats(10, 2000), st.floats(80, 300))
def test_slope_holds_the_thrust_in_balance(thrust: float, mass: float) -> None:
    try:
        angle = number("gradeability", "angle", thrust=thrust, mass=mass, rolling=0.02)
    except CalculationError:
        assert thrust > mass * 9.8
        return
    force = mass * 9.80665 * (math.sin(angle) + 0.02 * math.cos(angle))
    assert force == pytest.approx(thrust, rel=1e-9)


@many
@given(st.integers(8, 30), st.integers(30, 80), st.floats(0.4, 0.8))
def test_chain_length_agrees_with_the_exact_tangents(one: int, other: int, centre: float) -> None:
    """Two circles and their outer tangents; the makers' formula is its good approximation."""
    pitch = 0.0127
    got = compute(
        "chain-length",
        {"driving_teeth": float(one), "driven_teeth": float(other), "distance": centre},
    ).outputs
    small, large = (pitch / 2 / math.sin(math.pi / teeth) for teeth in (one, other))
    lean = math.asin((large - small) / centre)
    exact = 2 * centre * math.cos(lean) / pitch
    exact += one * (0.5 - lean / math.pi) + other * (0.5 + lean / math.pi)
    assert got["exact"] == pytest.approx(exact, abs=0.05)
    assert float(got["distance_with"]) >= centre - 1e-9


@pytest.mark.parametrize(
    ("unit_text", "product"),
    [("V", "A*Ω"), ("W", "V*A"), ("Wh/km", "N"), ("Nm/A", "V*s"), ("A2s", "J/Ω"), ("Wb", "V*s"),
     ("r/min/V", "r/min/V"), ("Ω/km", "V/A/m"), ("m/s2", "N/kg")],
)  # fmt: skip
def test_units_have_the_dimension_of_their_product(unit_text: str, product: str) -> None:
    assert unit(unit_text).dimension == unit(product).dimension
