"""Calculators against independent libraries, live: scipy, numpy, uncertainties, GTC and others."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from commission.calculators.catalogue import compute
from commission.calculators.coverage import normal_factor, t_factor
from commission.calculators.lever_sensors import narrowest

if TYPE_CHECKING:
    from commission.calculators.base import Answer, Value

few = settings(max_examples=40, deadline=None)


def answers(name: str, **inputs: Value) -> dict[str, float]:
    """Return the numbers a calculator gives."""
    outputs: dict[str, Answer] = dict(compute(name, inputs).outputs)
    return {key: value for key, value in outputs.items() if isinstance(value, float)}


@pytest.mark.parametrize("offset", [1.0, 3.0, 10.0, 30.0, -15.0])
def test_torque_lost_by_an_offset_is_what_a_machine_model_loses(offset: float) -> None:
    from motulator.drive.model import SynchronousMachine
    from motulator.drive.utils import SynchronousMachinePars

    machine = SynchronousMachine(
        SynchronousMachinePars(n_p=5, R_s=6e-3, L_d=60e-6, L_q=60e-6, psi_f=20e-3)
    )

    def torque(turned: float) -> float:
        current = 300.0 * complex(-math.sin(turned), math.cos(turned))
        machine.state.psi_s = 60e-6 * current + 20e-3
        return float(machine.tau_M)

    edges = tuple(math.radians(each + offset) for each in (30, 90, 150, 210, 270, 330))
    got = answers("sector-error", edges=edges, pole_pairs=5.0)
    lost = 1.0 - torque(math.radians(offset)) / torque(0.0)
    assert got["torque_loss"] == pytest.approx(lost, rel=1e-6)


@few
@given(st.floats(20, 140), st.floats(1e-3, 0.3), st.floats(0.01, 0.99))
def test_sag_at_constant_power_is_the_root_scipy_finds(
    open_voltage: float, resistance: float, share: float
) -> None:
    power = share * open_voltage**2 / (4 * resistance)
    got = answers("pack-sag", open_voltage=open_voltage, resistance=resistance, power=power)
    root = optimize.brentq(
        lambda current: (open_voltage - current * resistance) * current - power,
        0,
        open_voltage / (2 * resistance),
        xtol=1e-13,
        rtol=1e-14,
    )
    assert got["current_drawn"] == pytest.approx(root, rel=1e-9)
    assert got["voltage"] * got["current_drawn"] == pytest.approx(power, rel=1e-9)


@pytest.mark.parametrize("load", [0.0, 0.05])
def test_precharge_follows_the_solved_differential_equation(load: float) -> None:
    got = answers("precharge", voltage=117.6, capacitance=2e-3, resistance=100.0, load_current=load)
    solved = integrate.solve_ivp(
        lambda _t, u: ((117.6 - u) / 100.0 - load) / 2e-3,
        (0, got["time"]),
        [0.0],
        rtol=1e-10,
        atol=1e-10,
    )
    assert solved.y[0, -1] == pytest.approx(0.95 * 117.6, rel=1e-8)


def test_precharge_resistor_takes_the_energy_scipy_integrates() -> None:
    got = answers("precharge", voltage=84.0, capacitance=3e-3, resistance=47.0)
    heat, _ = integrate.quad(lambda t: 84.0**2 / 47.0 * math.exp(-2 * t / 0.141), 0, 5)
    assert got["energy"] == pytest.approx(heat, rel=1e-9)


def test_discharge_ends_at_the_safe_voltage_of_the_differential_equation() -> None:
    got = answers("discharge-time", voltage=84.0, capacitance=3e-3, resistance=1e4)
    solved = integrate.solve_ivp(
        lambda _t, u: -u / 30.0, (0, got["time"]), [84.0], rtol=1e-10, atol=1e-10
    )
    assert solved.y[0, -1] == pytest.approx(60.0, rel=1e-8)


@pytest.mark.parametrize(
    ("waveform", "current"),
    [
        ("square", lambda _x: 1.0),
        ("ramp", lambda x: x),
        ("half-sine", lambda x: math.sin(math.pi * x)),
        ("quadratic", lambda x: x * x),
        ("trapezoid", lambda x: 1.0 - 0.6 * x),
    ],
)
def test_pulse_is_the_integral_of_the_squared_current(waveform: str, current: object) -> None:
    assert callable(current)
    square, _ = integrate.quad(lambda x: current(x) ** 2, 0, 1)
    end = 40.0 if waveform == "trapezoid" else 0.0
    got = answers("fuse-pulse", waveform=waveform, peak=100.0, duration=0.01, end_current=end)
    assert got["pulse"] == pytest.approx(square * 100.0**2 * 0.01, rel=1e-9)


@few
@given(st.lists(st.floats(0, 2 * math.pi), min_size=2, max_size=12))
def test_circular_statistics_are_those_of_scipy(angles: list[float]) -> None:
    length = abs(np.exp(1j * np.array(angles)).mean())
    if length < 1e-3:
        return
    got = answers("sensor-spread", angles=tuple(angles))
    assert math.cos(got["mean"] - stats.circmean(angles)) == pytest.approx(1.0, abs=1e-12)
    assert got["population_spread"] == pytest.approx(stats.circstd(angles), abs=1e-6)


@few
@given(
    st.lists(
        st.tuples(st.floats(0, 1), st.floats(-0.4, 0.4)), max_size=25,
        unique_by=lambda point: round(point[0], 3),
    )
)  # fmt: skip
def test_lines_through_a_sweep_are_those_of_scipy(inner: list[tuple[float, float]]) -> None:
    sweep = [(-0.1, 0.0), *inner, (1.1, 0.0)]  # a lever with play, its ends measured
    points = sorted((travel, 0.8 + 3.4 * travel + play) for travel, play in sweep)
    x, y = (np.array(each) for each in zip(*points, strict=True))
    if len(points) < 3:
        return
    got = answers("lever-linearity", travel=tuple(x.tolist()), voltage=tuple(y.tolist()))
    line = stats.linregress(x, y)
    assert got["slope"] == pytest.approx(line.slope, rel=1e-7)
    assert got["intercept"] == pytest.approx(line.intercept, rel=1e-7, abs=1e-9)
    # The best line: least t with |y − a − b·x| ≤ t.
    rows = np.vstack(
        [np.column_stack([x, np.ones_like(x), -np.ones_like(x)]),
         np.column_stack([-x, -np.ones_like(x), -np.ones_like(x)])]
    )  # fmt: skip
    best = optimize.linprog(
        [0, 0, 1], A_ub=rows, b_ub=np.concatenate([y, -y]), bounds=[(None, None)] * 3
    )
    slope, half = narrowest(points)
    assert half == pytest.approx(best.fun, rel=1e-6, abs=1e-7)
    assert got["independent"] == pytest.approx(half / (slope * 1.2), rel=1e-9)


def test_torque_field_weakening_and_current_agree_with_an_independent_machine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("MPLBACKEND", "Agg")
    from motulator.drive.control.sm import TorqueCharacteristics
    from motulator.drive.utils import SynchronousMachinePars

    pars = SynchronousMachinePars(n_p=5, R_s=6e-3, L_d=60e-6, L_q=90e-6, psi_f=0.02)
    machine = TorqueCharacteristics(pars)
    motor = {"pole_pairs": 5.0, "flux": 0.02, "d_inductance": 60e-6, "q_inductance": 90e-6}
    for current in (-100 + 300j, -150 + 350j, 0 - 150j):
        got = answers("torque", **motor, d_current=current.real, q_current=current.imag)
        theirs = machine.torque(machine.flux(np.array([current])))[0]
        assert got["torque"] == pytest.approx(theirs, rel=1e-12)
    for amplitude in (100.0, 300.0, 500.0):
        got = answers("torque", **motor, d_current=0.0, q_current=amplitude)
        best = machine.mtpa(np.array([amplitude]))[0]
        assert got["best_angle"] == pytest.approx(np.angle(amplitude * np.exp(1j * best)), abs=1e-4)
    for speed, q_current in ((6000.0, 100.0), (8000.0, 50.0), (6000.0, 0.0)):
        omega = speed * 2 * math.pi / 60
        got = answers(
            "field-weakening", **motor, voltage=72.0, motor_speed=omega, q_current=q_current
        )
        linkage = machine.flux(np.array([got["d_current"] + 1j * q_current]))[0]
        assert abs(linkage) * omega * 5 == pytest.approx(72 / math.sqrt(3), rel=1e-12)


@few
@given(st.floats(0.5, 40), st.floats(-0.3, 0.3))
def test_top_speed_is_the_root_scipy_finds(kilowatt: float, gradient: float) -> None:
    load = {"mass": 200.0, "rolling": 0.02, "drag_area": 0.55, "gradient": gradient}
    speed = answers("top-speed", power=kilowatt * 1e3, **load)["speed"]
    assert answers("road-load", speed=speed, **load)["power"] == pytest.approx(kilowatt * 1e3)
    slope = 200 * 9.80665 * math.sin(math.atan(gradient))
    flat = 0.02 * 200 * 9.80665 * math.cos(math.atan(gradient)) + slope
    root = optimize.brentq(
        lambda v: flat * v + 0.33 * v**3 - kilowatt * 1e3, max(0.0, speed - 5), speed + 200
    )
    assert speed == pytest.approx(root, rel=1e-6)


@few
@given(st.floats(10, 40), st.floats(0, 0.9))
def test_coast_down_is_the_integral_scipy_takes(start: float, share: float) -> None:
    end = start * share
    got = answers(
        "coast-down", from_speed=start, to_speed=end, mass=200.0, constant=8.69,
        quadratic=0.0252 * 12.96,
    )  # fmt: skip

    def force(speed: float) -> float:
        return 8.69 + 0.0252 * 12.96 * speed * speed

    time, _ = integrate.quad(lambda v: 200 / force(v), end, start)
    distance, _ = integrate.quad(lambda v: 200 * v / force(v), end, start)
    assert got["time"] == pytest.approx(time, rel=1e-8)
    assert got["distance"] == pytest.approx(distance, rel=1e-8)


@pytest.mark.parametrize("celsius", [-200.0, -40.0, -0.5, 0.0, 23.0, 150.0, 600.0, 850.0])
def test_platinum_follows_an_independent_sensor_library(celsius: float) -> None:
    from rtd_sensor import pt100, pt1000

    for at_zero, sensor in ((100.0, pt100), (1000.0, pt1000)):
        theirs = sensor.celsius_to_resistance(celsius)
        got = answers("platinum-sensor", at_zero=at_zero, temperature=celsius + 273.15)
        assert got["sensor_resistance"] == pytest.approx(theirs, rel=1e-9)
        back = answers("platinum-sensor", at_zero=at_zero, resistance=theirs)
        assert back["sensor_temperature"] == pytest.approx(celsius + 273.15, abs=1e-6)


def test_thermistors_follow_an_independent_library() -> None:
    from thermistor_utils import Beta_converter, SH_converter

    points = ((0.0, 27445.0), (25.0, 10000.0), (50.0, 4160.0))
    theirs = SH_converter.from_points(points)
    three = {
        f"{letter}{place}": value
        for place, (celsius, ohms) in enumerate(points, 1)
        for letter, value in (("t", celsius + 273.15), ("r", ohms))
    }
    beta = Beta_converter(3435, 10000, 25)
    for celsius in (5.0, 25.0, 37.5, 60.0):
        got = answers("ntc-steinhart-hart", **three, temperature=celsius + 273.15)
        assert got["sensor_resistance"] == pytest.approx(theirs.resistance(celsius), rel=1e-6)
        got = answers("ntc-beta", at_25=1e4, beta=3435.0, temperature=celsius + 273.15)
        assert got["sensor_resistance"] == pytest.approx(beta.resistance(celsius), rel=1e-6)


@pytest.mark.parametrize("gauge", range(25))
def test_wire_diameters_are_those_of_a_rounded_table(gauge: int) -> None:
    from fluids.piping import t_from_gauge

    got = answers("wire-gauge", gauge=float(gauge))
    assert got["diameter"] == pytest.approx(t_from_gauge(float(gauge), True, "AWG"), rel=2e-3)  # noqa: FBT003


@few
@given(st.integers(1, 500), st.floats(0.5, 0.999))
def test_coverage_factors_are_those_of_scipy(freedom: int, probability: float) -> None:
    theirs = stats.t.ppf((1 + probability) / 2, freedom)
    assert t_factor(probability, freedom) == pytest.approx(theirs, rel=1e-6)
    assert normal_factor(probability) == pytest.approx(stats.norm.ppf((1 + probability) / 2))


def test_end_gauge_of_the_gum_agrees_with_an_uncertainty_library() -> None:
    from GTC import reporting, ureal

    parts = ((25.0, 18), (16.599, 2), (6.7, 8), (5.8, 24), (3.9, 5), (2.88679, 50))
    total = sum(ureal(0, u, freedom) for u, freedom in parts)
    got = answers(
        "combined-uncertainty",
        contributions=tuple(u for u, _ in parts),
        freedoms=tuple(float(freedom) for _, freedom in parts),
        probability=0.99,
    )
    assert got["combined"] == pytest.approx(total.u, rel=1e-12)
    assert got["freedom"] == pytest.approx(total.df, rel=1e-9)
    assert got["factor"] == pytest.approx(reporting.k_factor(int(total.df), 99), rel=1e-6)


def test_correlated_contributions_agree_with_an_uncertainty_library() -> None:
    """GUM H.2: the impedance Z = V/I, whose readings are correlated by −0.36."""
    from uncertainties import correlated_values_norm

    volts, amperes = correlated_values_norm(
        [(4.999, 0.0032), (19.661e-3, 0.0095e-3)], [[1, -0.36], [-0.36, 1]]
    )
    impedance = volts / amperes
    by_volts = 0.0032 / 19.661e-3
    by_amperes = -4.999 / 19.661e-3**2 * 0.0095e-3
    got = answers("combined-uncertainty", contributions=(by_volts, by_amperes), correlation=-0.36)
    assert got["combined"] == pytest.approx(impedance.std_dev, rel=1e-9)
    assert got["combined"] == pytest.approx(0.236, abs=0.002)  # the GUM's, from unrounded data
    alone = answers("combined-uncertainty", contributions=(by_volts, by_amperes))
    assert alone["combined"] == pytest.approx(0.204, abs=0.001)


def test_winding_uncertainty_is_what_the_trap_says() -> None:
    """Half a per cent of ohmmeter costs about two kelvin."""
    from uncertainties import ufloat

    warm, cold, at = ufloat(0.1, 0.0005), ufloat(0.08, 0.0004), ufloat(20.0, 0.5)
    theirs = warm / cold * (235 + at) - 235
    got = answers(
        "winding-temperature", cold_resistance=0.08, cold_temperature=293.15, warm_resistance=0.1
    )
    assert got["temperature"] - 273.15 == pytest.approx(theirs.nominal_value)
    assert 2.0 < theirs.std_dev < 2.6


@few
@given(st.floats(-3, 3), st.floats(0.01, 0.9))
def test_probability_of_conformance_is_that_of_scipy(reading: float, expanded: float) -> None:
    got = answers(
        "guard-band", nominal=0.0, tolerance=1.0, reading=reading, expanded=expanded, guard=0.0
    )
    normal = stats.norm(reading, expanded / 2)
    assert got["probability"] == pytest.approx(normal.cdf(1) - normal.cdf(-1), abs=1e-9)


@few
@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=20))
def test_mean_and_deviation_are_those_of_numpy(readings: list[float]) -> None:
    got = answers("repeatability", readings=tuple(readings))
    assert got["mean"] == pytest.approx(np.mean(readings), rel=1e-9, abs=1e-6)
    assert got["deviation"] == pytest.approx(np.std(readings, ddof=1), rel=1e-6, abs=1e-6)


def test_delta_winding_reads_as_the_nodal_solution_says() -> None:
    """Terminals of a delta of unequal phases, solved as a network with one ampere."""
    ab, bc, ca = 12e-3, 12.2e-3, 11.9e-3
    reads = []
    for source, sink in ((0, 1), (1, 2), (2, 0)):
        conductance = np.zeros((3, 3))
        for one, other, ohms in ((0, 1, ab), (1, 2, bc), (2, 0, ca)):
            conductance[[one, other], [one, other]] += 1 / ohms
            conductance[[one, other], [other, one]] -= 1 / ohms
        current = np.zeros(3)
        current[source], current[sink] = 1, -1
        volts = np.linalg.lstsq(conductance, current, rcond=None)[0]
        reads.append(float(volts[source] - volts[sink]))
    got = answers("phase-resistance", ab=reads[0], bc=reads[1], ca=reads[2])
    mean = (ab + bc + ca) / 3
    assert got["star_resistance"] == pytest.approx(mean / 3, rel=1e-3)
    assert got["delta_resistance"] == pytest.approx(mean, rel=1e-3)
