"""Plots: the curve is the calculator's own, the present point lies on it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from scipy import optimize

from commission.calculators import catalogue
from commission.calculators.picture import Trace, has_picture, pictures
from commission.calculators.typed import compute_typed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Value

CURVED = [name for name in catalogue.names() if has_picture(catalogue.get(name))]
MOTOR: Mapping[str, Value] = {
    "pole_pairs": 5.0, "flux": 0.02, "d_inductance": 60e-6, "q_inductance": 60e-6, "voltage": 72.0,
    "modulation": "space-vector", "d_current": 0.0, "q_current": 250.0, "phase_resistance": 0.0,
}  # fmt: skip


def at(trace: Trace, x: float) -> float:
    return min(trace.points, key=lambda point: abs(point[0] - x))[1]


@pytest.mark.parametrize("name", CURVED)
def test_every_plot_of_a_worked_example_has_points_and_says_what_it_shows(name: str) -> None:
    worked = compute_typed(name, catalogue.get(name).example.inputs)
    drawn = pictures(worked.calculator, worked.inputs, worked.result.outputs)
    assert drawn
    for picture in drawn:
        assert picture.x_label
        assert picture.y_label
        for trace in picture.traces:
            xs = [x for x, _ in trace.points]
            assert len(xs) > 20
            assert xs == sorted(xs)
            assert all(math.isfinite(y) for _, y in trace.points)


def test_the_present_point_is_the_result() -> None:
    worked = compute_typed("pack-sag", {"open_voltage": "84", "resistance": "50", "current": "100"})
    (voltage, _) = pictures(worked.calculator, worked.inputs, worked.result.outputs)
    # By hand: 84 V - 100 A · 50 mΩ.
    assert voltage.traces[0].present == pytest.approx((100.0, 79.0))


def test_where_the_alternative_was_given_the_present_point_comes_from_the_answer() -> None:
    worked = compute_typed("pack-sag", {"open_voltage": "84", "resistance": "50", "power": "7.9"})
    (voltage, _) = pictures(worked.calculator, worked.inputs, worked.result.outputs)
    assert voltage.traces[0].present == pytest.approx((100.0, 79.0))


def test_the_axis_reaches_a_present_point_beyond_it() -> None:
    worked = compute_typed("pack-sag", {"open_voltage": "84", "resistance": "5", "current": "600"})
    (voltage, _) = pictures(worked.calculator, worked.inputs, worked.result.outputs)
    assert voltage.traces[0].points[-1][0] > 600.0


def test_thrust_and_road_load_cross_at_the_top_speed() -> None:
    """The root of P = (A + C·v²)·v by scipy.optimize.brentq, from the coefficients alone."""
    worked = compute_typed("top-speed", catalogue.get("top-speed").example.inputs)
    load = pictures(worked.calculator, worked.inputs, worked.result.outputs)[0]
    thrust, road = load.traces
    quadratic = 0.0252 * 3.6**2
    root = optimize.brentq(lambda v: (8.69 + quadratic * v * v) * v - 6000.0, 1.0, 100.0)
    assert thrust.present == pytest.approx((root, 8.69 + quadratic * root * root), rel=1e-6)
    assert road.present == pytest.approx(thrust.present, rel=1e-6)
    assert at(thrust, root / 1.2) > at(road, root / 1.2)
    assert at(thrust, root * 1.2) < at(road, root * 1.2)


def test_gearing_ends_the_thrust() -> None:
    typed = {**catalogue.get("top-speed").example.inputs, "geared": "60 km/h"}
    worked = compute_typed("top-speed", typed)
    thrust = pictures(worked.calculator, worked.inputs, worked.result.outputs)[0].traces[0]
    assert thrust.points[-1][0] <= 60 / 3.6


def test_torque_is_level_to_base_speed_and_falls_beyond_as_the_voltage_circle_says() -> None:
    """By hand, without saliency and with |i| = I beyond base speed.

    (ψ + L·id)² + (L·iq)² = (U/ω)² and id² + iq² = I² give
    id = ((U/ω)² − ψ² − L²·I²)/(2·ψ·L), T = 1.5·p·ψ·iq.
    """
    torque, power = pictures(catalogue.get("base-speed"), MOTOR)[:2]
    flux, inductance, current = 0.02, 60e-6, 250.0
    level = 1.5 * 5 * flux * current
    base = 72 / math.sqrt(3) / math.hypot(flux, inductance * current) / 5
    assert torque.traces[0].present == pytest.approx((base, level), rel=1e-9)
    assert torque.traces[0].points[1][1] == pytest.approx(level)
    for speed, turning in torque.traces[0].points:
        if speed > 1.02 * base:
            allowed = 72 / math.sqrt(3) / (speed * 5)
            along = (allowed**2 - flux**2 - (inductance * current) ** 2) / (2 * flux * inductance)
            across = math.sqrt(max(0.0, current**2 - along**2))
            assert turning == pytest.approx(1.5 * 5 * flux * across, rel=1e-6)
    for (speed, turning), (_, watt) in zip(torque.traces[0].points, power.traces[0].points,
                                           strict=True):  # fmt: skip
        assert watt == pytest.approx(turning * speed)


def test_a_discharge_is_plotted_over_the_time_it_takes() -> None:
    """First-order discharge by hand: U = U0·exp(−t/RC), from 84 V with 3 mF and 10 kΩ."""
    worked = compute_typed("discharge-time", catalogue.get("discharge-time").example.inputs)
    (picture,) = pictures(worked.calculator, worked.inputs, worked.result.outputs)
    assert (picture.x_label, picture.y_label) == ("time to wait", "voltage left")
    for time, voltage in picture.traces[0].points:
        assert voltage == pytest.approx(84.0 * math.exp(-time / 30.0))
    assert picture.traces[0].present == pytest.approx((30.0 * math.log(84.0 / 60.0), 60.0))


def test_without_values_there_is_nothing_to_plot() -> None:
    for name in ("pack-sag", "top-speed", "base-speed", "ntc-steinhart-hart"):
        assert pictures(catalogue.get(name), {}) == ()
    assert pictures(catalogue.get("pack-voltage"), {"series": 14.0}) == ()
