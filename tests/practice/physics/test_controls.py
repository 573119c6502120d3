"""Grips and levers, and what the road has of it all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators.catalogue import compute
from commission.practice.build import Grip
from commission.practice.physics import driveline, levers
from commission.practice.physics.driveline import Gearing
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build

few = settings(max_examples=60, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)
travel = st.floats(0.0, 1.0)
KMH = 1 / 3.6


@few
@given(bikes, travel, travel)
def test_a_sound_grip_rises_from_released_to_full(bike: Build, one: float, other: float) -> None:
    less, more = sorted((one, other))
    grip = bike.throttle
    assert grip.released <= levers.voltage(grip, less) <= levers.voltage(grip, more) <= grip.full
    assert levers.let_go(grip, more) == 0.0


@few
@given(bikes)
def test_a_sound_grip_is_nearly_straight(bike: Build) -> None:
    """The largest distance from the line through both ends is far below the 0.15 V of a sweep."""
    grip = bike.throttle
    for at in (0.25, 0.5, 0.75):
        line = grip.released + at * (grip.full - grip.released)
        assert abs(levers.voltage(grip, at) - line) < 0.12


def test_faults_of_a_grip(demonstrator: Build) -> None:
    grip = demonstrator.throttle
    assert levers.voltage(replace(grip, state="open"), 0.5) == 0.0
    assert levers.voltage(replace(grip, state="shorted to supply"), 0.0) == 5.0
    assert levers.voltage(replace(grip, unplugged=4.9), 0.3, plugged=False) == 4.9
    assert levers.let_go(replace(grip, state="sticks"), 0.4) == 0.4
    assert levers.let_go(replace(grip, returns=0.9), 0.5) == pytest.approx(0.05)
    late = replace(grip, dead_travel=0.2)
    assert levers.voltage(late, 0.19) == 0.84
    assert levers.voltage(late, 1.0) == pytest.approx(4.11)
    dead = replace(grip, dead_travel=1.0)
    assert [levers.voltage(dead, at) for at in (0.0, 0.5, 1.0)] == [0.84] * 3
    bowed = replace(grip, curve=0.1)
    assert levers.voltage(bowed, 0.5) == pytest.approx(0.84 + 0.6 * 3.27)


def test_a_switch_has_nothing_between() -> None:
    switch = Grip(released=0.0, full=5.0, switch=True)
    assert [levers.voltage(switch, at) for at in (0.0, 0.4, 0.6, 1.0)] == [0.0, 0.0, 5.0, 5.0]


@given(st.floats(0.5, 1.5), st.floats(2.0, 4.5), st.floats(0.0, 5.0))
def test_demand_is_the_travel_of_the_lever_window(low: float, high: float, signal: float) -> None:
    window = {"rest": low, "full": high, "dead_low": 0.0, "dead_high": 0.0, "reading": signal}
    expected = compute("lever-window", window).outputs["travel"]
    assert levers.demand(signal, low, high) == pytest.approx(expected)
    assert levers.demand(signal, low, high, low - 0.3, high + 0.3) == (
        pytest.approx(expected) if low - 0.3 <= signal <= high + 0.3 else None
    )


def test_a_window_without_width_is_all_or_nothing() -> None:
    assert levers.demand(1.1, 1.2, 1.2) == 0.0
    assert levers.demand(1.2, 1.2, 1.2) == 1.0


@few
@given(bikes, st.floats(1.0, 600.0))
def test_road_speed_is_that_of_the_calculator_and_goes_back(bike: Build, speed: float) -> None:
    line = bike.driveline
    ratio = line.primary_ratio * line.driven_teeth / line.driving_teeth
    given = {"motor_speed": speed, "ratio": ratio, "rollout": line.rollout}
    expected = compute("wheel-speed", given).outputs["road_speed"]
    assert driveline.road_speed(line, speed) == pytest.approx(expected)
    assert driveline.motor_speed(line, float(expected)) == pytest.approx(speed)


@few
@given(bikes, st.floats(1.0, 40.0))
def test_a_display_that_is_told_the_truth_shows_it(bike: Build, speed: float) -> None:
    line, pairs = bike.driveline, bike.motor.pole_pairs
    told = Gearing(pairs, driveline.ratio(line), line.rollout)
    shown = driveline.displayed_speed(told, pairs, driveline.motor_speed(line, speed))
    assert shown == pytest.approx(speed)
    assert driveline.true_speed(line, told, pairs, speed) == pytest.approx(speed)


def test_twice_the_pole_pairs_lets_the_bike_run_twice_as_fast(demonstrator: Build) -> None:
    """Poles typed for pairs: the display and the limit see half of the true speed."""
    line = demonstrator.driveline
    told = Gearing(14, 7.8, 1.985)
    assert driveline.true_speed(line, told, 7, 55 * KMH) == pytest.approx(110 * KMH)
    short = Gearing(7, 7.8, 1.985 * 0.9)
    assert driveline.true_speed(line, short, 7, 45 * KMH) == pytest.approx(50 * KMH)


def test_the_demonstrators_wheel(demonstrator: Build) -> None:
    line = demonstrator.driveline
    assert driveline.ratio(line) == pytest.approx(7.8)
    # 52.8 N·m · 7.8 · 0.95 over a radius of 1.985 m / 2π.
    assert driveline.thrust(line, 52.8) == pytest.approx(1238.4, abs=0.1)
