"""How warm the motor gets in a ride: one body, warmed by its copper, cooled by the air."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from commission.practice.physics.motor import resistance

if TYPE_CHECKING:
    from commission.practice.build import Build


@dataclass(frozen=True, slots=True)
class Ride:
    """One stage of a ride test."""

    seconds: float
    current: float
    """Root mean square of the phase current, as a share of the largest."""
    extra: float
    """Share of the build's extra heating that falls into it."""


HALF_POWER: Final = Ride(300.0, 0.40, 0.5)
FULL_POWER: Final = Ride(60.0, 0.80, 0.5)
"""Three runs of twenty seconds."""


def warmed(
    start: float, air: float, watts: float, ohms: float, constant: float, time: float
) -> float:
    """Return the temperature in K after `time`: `ohms` is the thermal resistance in K/W.

    `constant` is the time constant in s.
    """
    end = air + watts * ohms
    return end + (start - end) * math.exp(-time / constant)


def motor_after(build: Build, ride: Ride, start: float, torque_share: float = 1.0) -> float:
    """Return the motor's temperature in K after a ride begun at `start` in K.

    `torque_share` is what a wrong sensor angle leaves of the torque: the rider opens the throttle
    further for the same thrust, up to the largest current.
    """
    motor = replace(build.motor, winding_temperature=start)
    share = min(1.0, ride.current / max(torque_share, 1e-3))
    # 3·R·I² of the rms current: three windings.
    loss = 3.0 * resistance(motor) * (share * motor.peak_current) ** 2
    warm = warmed(
        start, build.temperature.ambient, loss, motor.thermal_resistance, motor.thermal_time,
        ride.seconds,
    )  # fmt: skip
    return warm + ride.extra * build.temperature.motor_heat
