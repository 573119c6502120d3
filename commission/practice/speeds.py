"""Speeds of a bike: true ones, those that its controller keeps to, and those that it shows."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice import drive
from commission.practice.physics import driveline, pack
from commission.practice.physics.driveline import Gearing
from commission.practice.physics.motor import no_load_speed

if TYPE_CHECKING:
    from commission.practice.build import Build
    from commission.practice.controller import Controller
    from commission.practice.drive import Motion

MPH: Final = 1.609344
"""km in a mile."""


def road_speed_limit(build: Build, controller: Controller) -> float:
    """Return the true road speed in m/s at which the drive stops pulling, by limit or by motor."""
    gearing, shown = gearing_obeyed(build, controller), shown_limit(build, controller)
    limit = driveline.true_speed(build.driveline, gearing, build.motor.pole_pairs, shown)
    speed = min(_motor_speed(build), build.motor.speed_max)
    return min(limit, driveline.road_speed(build.driveline, speed))


def gearing_obeyed(build: Build, controller: Controller) -> Gearing:
    """Return what the controller computes speed with."""
    return Gearing(
        drive.number(controller, "pole_pairs", build.motor.pole_pairs),
        drive.number(controller, "gear_ratio", driveline.ratio(build.driveline)),
        drive.number(controller, "wheel_circumference", build.driveline.rollout),
    )


def shown_limit(build: Build, controller: Controller) -> float:
    """Return the speed limit in m/s as the controller keeps it: in the unit that it counts in."""
    limit = drive.number(controller, "speed_limit", math.inf)
    miles = (
        build.controller.storage.display_unit == "mph" or controller.obeyed("speed_unit") == "mph"
    )
    return limit * MPH if miles else limit


def shown(build: Build, controller: Controller, moves: Motion) -> float:
    """Return the number on the display while the wheel turns in the air, as a person reads it."""
    if not moves.turns:
        return 0.0
    free = moves.demand * _motor_speed(build)
    gearing = gearing_obeyed(build, controller)
    speed = driveline.displayed_speed(gearing, build.motor.pole_pairs, free)
    kilometres = 3.6 * min(speed, shown_limit(build, controller))
    miles = (
        build.controller.storage.display_unit == "mph" or controller.obeyed("speed_unit") == "mph"
    )
    return kilometres / MPH if miles else kilometres


def _motor_speed(build: Build) -> float:
    return no_load_speed(build.motor, pack.open_voltage(build.pack))
