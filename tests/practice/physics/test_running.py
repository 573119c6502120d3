"""How a motor runs by the angles that are stored: sense, torque lost, smoothness."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.practice.build import Rotor, RotorSensor
from commission.practice.physics.rotor import detected, true_angles
from commission.practice.physics.running import rolled, running
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build
    from commission.practice.physics.rotor import Angles

few = settings(max_examples=80, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)


def stored_as_found(bike: Build) -> Angles:
    found = bike.controller.storage.as_found
    one, two, three = (float(found[f"sensor_angle_{k}"]) for k in (1, 2, 3))
    return one, two, three


@few
@given(bike=bikes, reverse=st.booleans())
def test_the_sense_shown_when_rolled_is_the_sense_driven(bike: Build, *, reverse: bool) -> None:
    for stored in (stored_as_found(bike), true_angles(bike.rotor, bike.motor)):
        runs = running(bike.rotor, bike.motor, stored, reverse=reverse)
        assert runs.sense == rolled(bike.rotor, bike.motor, stored, reverse=reverse) != 0
        other = running(bike.rotor, bike.motor, stored, reverse=not reverse)
        assert other.mean == pytest.approx(-runs.mean)


@few
@given(bikes, st.integers(0, 10**6))
def test_after_detection_a_sound_motor_runs_smoothly_with_nearly_all_its_torque(
    bike: Build, seed: int
) -> None:
    found = detected(bike.rotor, bike.motor, 0.4, Random(seed))
    runs = running(bike.rotor, bike.motor, found, reverse=False)
    assert runs.smooth
    assert runs.torque_share > 0.98


@few
@given(bikes, st.floats(-60.0, 60.0))
def test_an_angle_that_is_wrong_throughout_costs_its_cosine(bike: Build, off: float) -> None:
    """The calculator `sector-error` gives the same: 1 − cos of the offset is lost."""
    one, two, three = (each + math.radians(off) for each in true_angles(bike.rotor, bike.motor))
    runs = running(bike.rotor, bike.motor, (one, two, three), reverse=False)
    assert runs.torque_share == pytest.approx(math.cos(math.radians(off)))


def test_half_a_turn_off_drives_the_other_way(demonstrator: Build) -> None:
    rotor, motor = demonstrator.rotor, demonstrator.motor
    one, two, three = (each + math.pi for each in true_angles(rotor, motor))
    assert running(rotor, motor, (one, two, three), reverse=True).sense == -1


def test_the_demonstrator_needs_its_direction_reversed(demonstrator: Build) -> None:
    found = stored_as_found(demonstrator)
    rotor, motor = demonstrator.rotor, demonstrator.motor
    assert running(rotor, motor, found, reverse=True).sense == 1
    assert running(rotor, motor, found, reverse=False).sense == -1
    # The angles as found are 60 degrees off: half the torque.
    assert running(rotor, motor, found, reverse=True).mean == pytest.approx(0.5, abs=0.02)


def test_exchanged_phases_drive_backward_once_the_angles_are_found_again(
    demonstrator: Build,
) -> None:
    other = replace(demonstrator.motor, phase_order=1)
    rotor = demonstrator.rotor
    assert running(rotor, other, true_angles(rotor, other), reverse=True).sense == -1
    # With the angles of before it does not turn at all: the field runs against the sensors.
    before = true_angles(rotor, demonstrator.motor)
    assert running(rotor, other, before, reverse=True).sense == 0


def test_swapped_sensor_wires_do_not_turn_until_they_are_found(demonstrator: Build) -> None:
    motor = demonstrator.motor
    before = true_angles(demonstrator.rotor, motor)
    swapped = replace(demonstrator.rotor, wire_order=(1, 0, 2))
    assert running(swapped, motor, before, reverse=True).sense == 0
    assert rolled(swapped, motor, before, reverse=True) == -1
    assert running(swapped, motor, true_angles(swapped, motor), reverse=True).sense == 1


def test_a_dead_sensor_is_rough_and_an_open_phase_does_not_turn(demonstrator: Build) -> None:
    motor = demonstrator.motor
    one, two, three = demonstrator.rotor.sensors
    found = true_angles(demonstrator.rotor, motor)
    dead = replace(demonstrator.rotor, sensors=(one, replace(two, state="stuck low"), three))
    runs = running(dead, motor, found, reverse=True)
    assert not runs.smooth
    assert rolled(dead, motor, found, reverse=True) == 0
    drops = replace(demonstrator.rotor, sensors=(one, replace(two, state="intermittent"), three))
    at_times = running(drops, motor, found, reverse=True)
    assert not at_times.smooth
    assert runs.mean < at_times.mean < 0.97
    opened = replace(motor, open_phase=True)
    runs = running(demonstrator.rotor, opened, found, reverse=True)
    assert not runs.smooth
    assert runs.mean < 0.55


def test_a_motor_that_part_of_the_turn_pulls_the_other_way_does_not_start(
    demonstrator: Build,
) -> None:
    sensors = RotorSensor(97.0), RotorSensor(124.0), RotorSensor(60.0, "dead")
    one, two, three = (math.radians(each) for each in (163.0, 271.5, 101.0))
    runs = running(Rotor(sensors), demonstrator.motor, (one, two, three), reverse=True)
    assert runs.mean == pytest.approx(-0.5, abs=0.05)
    assert runs.weakest < -0.5
    assert (runs.sense, runs.torque_share) == (0, 0.0)
