"""What a controller holds when it comes from another bike: plausible, and wrong for this one.

Nothing of it starts a wheel by itself or stops a wheel that is driven on the stand: a controller
that does is not sound. The rotor-sensor angles are those of a motor whose sensors sit a little
elsewhere, so that the wheel turns before they are found, with less torque.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.practice.physics import pack as packs
from commission.practice.physics.rotor import TURN, true_angles
from commission.practice.physics.sensors import KINDS
from commission.practice.physics.varied_chassis import KMH

if TYPE_CHECKING:
    from collections.abc import Mapping
    from random import Random

    from commission.practice.build import Build, SettingValue

_OFF = 45.0
"""Electrical degrees; the wheel keeps seven tenths of its torque."""


def settings_of_another_bike(build: Build, random: Random) -> Mapping[str, SettingValue]:
    """Return the settings as found, by role, SI."""
    return {
        **_motor(build, random),
        **_angles(build, random),
        **_controls(build, random),
        **_pack(build, random),
        **_gearing(random),
        **_accessories(build, random),
    }


def _motor(build: Build, random: Random) -> dict[str, SettingValue]:
    motor = build.motor
    return {
        "pole_pairs": float(random.randint(2, 14)),
        "phase_current_limit": 10.0 * random.randint(6, 60),
        "direction": random.choice(("normal", "reversed")),
        "field_weakening": random.random() < 0.5,  # noqa: PLR2004  either
        # These two are this motor's own, to a few percent: they are left as found.
        "motor_resistance": round(motor.resistance * random.uniform(0.95, 1.05), 5),
        "motor_flux": round(motor.flux * random.uniform(0.95, 1.05), 5),
    }


def _angles(build: Build, random: Random) -> dict[str, SettingValue]:
    off = math.radians(random.uniform(-_OFF, _OFF))
    return {
        f"sensor_angle_{k}": (angle + off) % TURN
        for k, angle in enumerate(true_angles(build.rotor, build.motor), 1)
    }


def _controls(build: Build, random: Random) -> dict[str, SettingValue]:
    low = round(build.throttle.released + random.uniform(0.08, 0.30), 2)
    return {
        "throttle_low": low,
        "throttle_high": round(low + random.uniform(2.4, 3.2), 2),
        "throttle_fault_low": round(random.uniform(0.1, 0.5), 2),
        "throttle_fault_high": round(random.uniform(4.6, 4.9), 2),
        "lever_low": round(random.uniform(1.05, 1.3), 2),
        "lever_high": round(random.uniform(3.4, 4.2), 2),
        "regen_by_lever": random.random() < 0.5,  # noqa: PLR2004  either
        "regen_current_limit": float(random.randint(5, 120)),
    }


def _pack(build: Build, random: Random) -> dict[str, SettingValue]:
    volts = packs.open_voltage(build.pack)
    return {
        "low_voltage_cutoff": round(volts * random.uniform(0.60, 0.85), 1),
        "high_voltage_cutoff": round(min(158.0, volts * random.uniform(1.20, 1.50)), 1),
        "battery_current_limit": 5.0 * random.randint(8, 60),
        "power_level_low": random.randint(5, 18) * 0.05,
    }


def _gearing(random: Random) -> dict[str, SettingValue]:
    return {
        "gear_ratio": random.randint(60, 300) * 0.05,
        "wheel_circumference": random.randint(1500, 2200) * 1e-3,
        "speed_limit": random.randint(25, 110) * KMH,
        "speed_unit": random.choice(("km/h", "mph")),
    }


def _accessories(build: Build, random: Random) -> dict[str, SettingValue]:
    fitted = build.switches
    return {
        "startup_mode": random.choice(("low", "normal", "high")),
        "brake_cut": random.random() < 0.5,  # noqa: PLR2004  either
        # An interlock that is switched on without its switch would refuse the drive.
        "stand_switch": fitted.stand_fitted and random.random() < 0.5,  # noqa: PLR2004
        "tilt_sensor": fitted.tilt_fitted and random.random() < 0.5,  # noqa: PLR2004
        "pump_output": random.random() < 0.5,  # noqa: PLR2004
        "fan_output": random.random() < 0.5,  # noqa: PLR2004
        "motor_sensor_kind": random.choice((*KINDS, "none")),
    }
