"""Random sound controls, switches, sensors and drivelines."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice.build import (
    Cooling,
    Driveline,
    Grip,
    Owner,
    Rotor,
    RotorSensor,
    Switches,
    Thermometry,
)
from commission.practice.physics.driveline import TURN
from commission.practice.physics.sensors import KINDS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from random import Random

    from commission.practice.build import Motor, Pack

KMH: Final = 1.0 / 3.6
_LARGEST_RATIO: Final = 25.0
_ONE_STAGE: Final = 4.6
"""The largest ratio that one pair of sprockets gives here."""
_LARGEST_PRIMARY: Final = 6.0


def rotor(random: Random) -> Rotor:
    """Return three sensors a third of a turn apart, a little off their places, in either order."""
    first = random.uniform(0.0, 360.0)
    step = random.choice((120.0, -120.0))
    one, two, three = (
        RotorSensor((first + k * step + random.uniform(-2.5, 2.5)) % 360.0) for k in range(3)
    )
    return Rotor(
        (one, two, three), noise=random.uniform(0.7, 0.9), cogging=random.uniform(2.6, 3.4)
    )


def throttle(random: Random) -> Grip:
    """Return a grip whose signal is straight to a twentieth of a volt."""
    return Grip(
        released=random.uniform(0.72, 0.98),
        full=random.uniform(3.7, 4.4),
        dead_travel=random.uniform(0.0, 0.02),
        curve=random.uniform(-0.012, 0.012),
        unplugged=random.choice((0.0, 0.0, 5.0)),
    )


def lever(random: Random) -> Grip | None:
    """Return a variable lever, a switch, or none."""
    kind = random.choice(("variable", "variable", "switch", "not fitted"))
    if kind == "not fitted":
        return None
    if kind == "switch":
        return Grip(released=0.0, full=5.0, switch=True)
    return Grip(released=random.uniform(0.75, 1.0), full=random.uniform(3.5, 4.3))


def switches(random: Random) -> Switches:
    """Return a brake switch, and the others fitted or not."""
    return Switches(stand_fitted=random.random() < 0.6, tilt_fitted=random.random() < 0.4)  # noqa: PLR2004


def cooling(random: Random) -> Cooling:
    """Return a pump, a fan, both or neither."""
    return Cooling(pump_fitted=random.random() < 0.3, fan_fitted=random.random() < 0.5)  # noqa: PLR2004


def thermometry(random: Random, ambient: float) -> Thermometry:
    """Return sensors of any kind at `ambient` in K, within their makers' tolerances."""
    kind = random.choice((*KINDS, "none"))
    spread = 0.001 if kind.startswith("Pt") else 0.01
    return Thermometry(
        ambient=ambient,
        motor_kind=kind,
        motor_sensor_spread=0.0 if kind == "none" else random.uniform(-spread, spread),
        controller_offset=random.uniform(-1.5, 1.5),
    )


def owner(random: Random) -> Owner:
    """Return a declared use, and a speed that goes with it."""
    if random.random() < 0.3:  # noqa: PLR2004  three bikes in ten
        return Owner("road", random.randint(25, 45) * KMH)
    return Owner("closed", random.randint(25, 75) * KMH)


def driveline(random: Random, motor_speed: float, whose: Owner) -> Driveline:
    """Return a driveline that takes `motor_speed` in rad/s somewhat above the declared speed."""
    rollout = random.randint(1750, 2100) * 1e-3
    reached = whose.declared_speed * random.uniform(1.10, 1.45)
    wanted = min(_LARGEST_RATIO, motor_speed / TURN * rollout / reached)
    primary = 1.0
    if wanted > _ONE_STAGE:
        stage = random.uniform(max(3.4, wanted / _LARGEST_PRIMARY), _ONE_STAGE)
        primary = min(_LARGEST_PRIMARY, math.ceil(20.0 * wanted / stage) / 20.0)
    driving = random.randint(11, 15)
    return Driveline(
        driving_teeth=driving,
        driven_teeth=math.floor(wanted / primary * driving),
        primary_ratio=primary,
        rollout=rollout,
        mass=float(random.randint(110, 220)),
    )


def identity(random: Random, serial: str, pack: Pack, motor: Motor) -> Mapping[str, str]:
    """Return the numbers on the parts."""
    return {
        "frame": f"TRIAL-{random.randint(1000, 9999)}",
        "controller": serial,
        "removed": f"K-{random.randrange(10**6):06d}",
        "motor": f"M-{motor.pole_pairs}-{random.randint(1000, 9999)}",
        "pack": f"P-{pack.series}-{pack.parallel}-{random.randint(10, 99)}",
    }
