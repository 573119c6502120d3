"""Warming in a ride against scipy's integrator, and the rides of sound bikes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from commission.practice.physics.heat import FULL_POWER, HALF_POWER, motor_after, warmed
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build

few = settings(max_examples=60, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)


@few
@given(st.floats(270.0, 400.0), st.floats(0.0, 500.0), st.floats(0.1, 1.0), st.floats(0.0, 900.0))
def test_warming_is_the_solution_of_its_differential_equation(
    start: float, watts: float, ohms: float, time: float
) -> None:
    constant, air = 600.0, 293.15
    integrated = solve_ivp(
        lambda _, t: [(watts * ohms - (t[0] - air)) / constant], (0.0, time), [start],
        rtol=1e-9, atol=1e-9,
    ).y[0, -1]  # fmt: skip
    assert warmed(start, air, watts, ohms, constant, time) == pytest.approx(integrated, rel=1e-7)


@few
@given(bikes)
def test_a_sound_bike_stays_far_below_the_limits_of_the_ride_test(bike: Build) -> None:
    half = motor_after(bike, HALF_POWER, bike.temperature.ambient)
    full = motor_after(bike, FULL_POWER, half)
    assert bike.temperature.ambient + 5.0 < half < 353.15 - 10.0
    assert half < full < 383.15 - 15.0


@few
@given(bikes, st.floats(0.3, 1.0))
def test_less_torque_for_the_current_means_more_heat(bike: Build, share: float) -> None:
    air = bike.temperature.ambient
    sound = motor_after(bike, HALF_POWER, air) - air
    wrong = motor_after(bike, HALF_POWER, air, share) - air
    assert wrong >= sound * (1 - 1e-12)
    # Twice the current is four times the loss, up to the largest current.
    assert wrong == pytest.approx(sound * min(1 / share, 1 / HALF_POWER.current) ** 2)


def test_extra_heating_is_complete_after_both_rides(demonstrator: Build) -> None:
    hot = replace(demonstrator, temperature=replace(demonstrator.temperature, motor_heat=40.0))
    air = demonstrator.temperature.ambient
    assert motor_after(hot, HALF_POWER, air) - motor_after(demonstrator, HALF_POWER, air) == (
        pytest.approx(20.0)
    )
    assert motor_after(hot, FULL_POWER, air) - motor_after(demonstrator, FULL_POWER, air) == (
        pytest.approx(20.0)
    )


def test_the_demonstrators_ride_is_that_of_its_answers(demonstrator: Build) -> None:
    """47 °C after half power, 71 °C after full power, as a technician reads them."""
    half = motor_after(demonstrator, HALF_POWER, demonstrator.temperature.ambient)
    assert half - 273.15 == pytest.approx(47.0, abs=1.5)
    assert motor_after(demonstrator, FULL_POWER, half) - 273.15 == pytest.approx(71.0, abs=4.0)
