"""What a controller should hold so that this very bike is right: from its truth, not its papers.

Where only papers can say what is right (what a pack's maker allows), they count; a build whose
papers are wrong there is a bike that nobody can set right.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.calculators.catalogue import compute
from commission.practice.physics import driveline, pack, rotor, running

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.practice.build import Build, Grip, SettingValue


def right_settings(build: Build) -> dict[str, SettingValue]:
    """Return the right value of every setting that a bike obeys, by role, SI."""
    return {**_motor(build), **_grips(build), **_pack(build), **_rest(build)}


def commissioned(build: Build, but: Iterable[str] = ()) -> Build:
    """Return the bike with the right settings in its controller, except those named in `but`."""
    storage = build.controller.storage
    kept = {role: storage.as_found[role] for role in but if role in storage.as_found}
    found = {**storage.as_found, **right_settings(build), **kept}
    factory = {**storage.as_found, **storage.factory}
    held = replace(storage, as_found=found, factory=factory)
    controller = replace(build.controller, storage=held)
    return replace(build, controller=controller)


def paper(build: Build, fact: str, otherwise: float) -> float:
    """Return a number of the papers, or `otherwise` where they say nothing."""
    value = build.papers.get(fact)
    return otherwise if value is None or isinstance(value, str) else float(value)


def charge_current(build: Build) -> float:
    """Return what regeneration may push into the pack, A."""
    return pack.charge_current(build.pack)


def _motor(build: Build) -> dict[str, SettingValue]:
    motor = build.motor
    angles = rotor.true_angles(build.rotor, motor)
    forward = running.running(build.rotor, motor, angles, reverse=False).mean > 0.0
    return {
        "pole_pairs": float(motor.pole_pairs),
        "phase_current_limit": min(motor.peak_current, build.controller.phase_current_max),
        "direction": "normal" if forward else "reversed",
        "field_weakening": False,
        "motor_resistance": motor.resistance,
        "motor_flux": motor.flux,
        **{f"sensor_angle_{place}": angle for place, angle in enumerate(angles, start=1)},
    }


def _grips(build: Build) -> dict[str, SettingValue]:
    throttle = build.throttle
    low, high = _window(throttle)
    found: dict[str, SettingValue] = {
        "throttle_low": low,
        "throttle_high": high,
        "throttle_fault_low": 0.5 * throttle.released,
        "throttle_fault_high": 0.5 * (throttle.full + throttle.supply),
        "regen_by_lever": build.lever is not None,
    }
    if build.lever is not None and not build.lever.switch:
        found["lever_low"], found["lever_high"] = _window(build.lever)
    return found


def _window(grip: Grip) -> tuple[float, float]:
    outputs = compute("lever-window", {"rest": grip.released, "full": grip.full}).outputs
    return float(outputs["start"]), float(outputs["end"])


def _pack(build: Build) -> dict[str, SettingValue]:
    cells, series = build.pack, build.pack.series
    cutoff = paper(build, "cell_cutoff", cells.cell_empty)
    most = paper(build, "pack_current_max", build.wiring.fuse_rating)
    return {
        "low_voltage_cutoff": series * cutoff,
        "high_voltage_cutoff": series * (cells.cell_full + 0.02),
        "battery_current_limit": min(most, 0.75 * build.wiring.fuse_rating),
        "power_level_low": 0.4,
        "regen_current_limit": float(round(charge_current(build))),
    }


def _rest(build: Build) -> dict[str, SettingValue]:
    fitted, sensor = build.switches, build.temperature
    return {
        "gear_ratio": driveline.ratio(build.driveline),
        "wheel_circumference": build.driveline.rollout,
        "speed_limit": build.owner.declared_speed,
        "speed_unit": "km/h",
        "startup_mode": "low",
        "brake_cut": True,
        "stand_switch": fitted.stand_fitted,
        "tilt_sensor": fitted.tilt_fitted,
        "pump_output": build.cooling.pump_fitted,
        "fan_output": build.cooling.fan_fitted,
        "motor_sensor_kind": sensor.motor_kind,
    }
