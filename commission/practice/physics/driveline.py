"""From the motor's shaft to the road: true speeds, what a display makes of them, thrust."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute

if TYPE_CHECKING:
    from commission.practice.build import Driveline

TURN: Final = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Gearing:
    """What a controller is told of the driveline, and so what it computes speed with."""

    pole_pairs: float
    ratio: float
    """Turns of the motor for one of the wheel."""
    circumference: float
    """m for one turn of the wheel."""


def ratio(driveline: Driveline) -> float:
    """Return the true turns of the motor for one of the wheel."""
    teeth = {
        "driving_teeth": driveline.driving_teeth,
        "driven_teeth": driveline.driven_teeth,
        "primary": driveline.primary_ratio,
    }
    return float(compute("reduction", teeth).outputs["ratio"])


def road_speed(driveline: Driveline, motor_speed: float) -> float:
    """Return the true road speed in m/s at a motor speed in rad/s, without slip."""
    return motor_speed / TURN / ratio(driveline) * driveline.rollout


def motor_speed(driveline: Driveline, speed: float) -> float:
    """Return the motor speed in rad/s at a true road speed in m/s."""
    return speed * TURN * ratio(driveline) / driveline.rollout


def displayed_speed(gearing: Gearing, pole_pairs: int, speed: float) -> float:
    """Return the road speed in m/s that is displayed at a motor speed in rad/s.

    The controller counts electrical turns (`pole_pairs` are the motor's own) and divides by what it
    was told.
    """
    return speed * pole_pairs / gearing.pole_pairs / TURN / gearing.ratio * gearing.circumference


def true_speed(driveline: Driveline, gearing: Gearing, pole_pairs: int, shown: float) -> float:
    """Return the true road speed in m/s when the display, or a speed limit, stands at `shown`."""
    return shown * road_speed(driveline, 1.0) / displayed_speed(gearing, pole_pairs, 1.0)


def thrust(driveline: Driveline, torque: float) -> float:
    """Return the force at the ground in N for a motor torque of at least 0 in N·m."""
    geared = {"torque": torque, "ratio": ratio(driveline), "rollout": driveline.rollout}
    return float(compute("wheel-thrust", geared).outputs["thrust"])
