"""A sound bike by roles, in the units that people type, and a way to change it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.crosschecks.base import Finding, Known
from commission.crosschecks.catalogue import get
from commission.crosschecks.roles import ROLES
from commission.crosschecks.run import look
from commission.quantities import unit

if TYPE_CHECKING:
    from collections.abc import Callable

SOUND: Final[dict[str, Any]] = {
    "series_cells": 18, "parallel_cells": 5, "cell_full": 4.2, "cell_nominal": 3.6,
    "cell_cutoff": 3.0, "cell_charge_current": 4.0, "cell_temperature": 20.0,
    "pack_open_voltage": 68.0, "pack_full_voltage": 75.6, "pack_nominal_voltage": 64.8,
    "pack_cutoff_voltage": 54.0, "pack_resistance": 50.0, "pack_current_max": 120.0,
    "bms_current_max": 180.0, "bms_charge_max": 40.0, "bms_low_cutoff": 50.0,
    "bms_high_cutoff": 77.0,
    "fuse_rating": 160.0, "fuse_voltage": 125.0, "fuse_breaking_current": 2000.0,
    "fuse_clearing_time": 0.1, "cable_area": "35", "cable_loop_length": 2.0,
    "cable_current_max": 165.0,
    "controller_voltage_max": 100.0, "controller_phase_max": 300.0,
    "electrical_frequency_max": 1000.0,
    "battery_current_limit": 100.0, "phase_current_limit": 250.0, "regen_current_limit": 18.0,
    "drag_current": 6.0, "lever_regen_current": 18.0,
    "low_voltage_cutoff": 54.0, "high_voltage_cutoff": 75.9, "power_level": 6.0,
    "field_weakening": False, "voltage_class_worked_by": "B",
    "pole_pairs": 5, "motor_pole_pairs": 5, "motor_speed_constant": 60.0,
    "motor_speed_max": 5000.0, "motor_phase_max": 260.0, "flux_linkage": 18.4,
    "phase_resistance": 6.0, "magnet_coldest": -20.0,
    "throttle_released": 0.85, "throttle_full_signal": 4.15, "throttle_begins": 0.95,
    "throttle_full": 4.05, "throttle_fault_low": 0.4, "throttle_fault_high": 4.6,
    "lever_released": 0.9, "lever_begins": 1.0,
    "gear_ratio": 7.5, "gear_ratio_counted": 7.5, "wheel_circumference": 2000.0,
    "rollout": 2000.0, "speed_limit": 60.0, "declared_top_speed": 60.0, "use_speed_max": 80.0,
    "stand_switch_enabled": True, "stand_switch_fitted": True,
    "tilt_sensor_enabled": False, "tilt_sensor_fitted": False,
    "brake_switch_enabled": True, "brake_switch_fitted": True,
    "motor_sensor_enabled": True, "motor_sensor_fitted": True,
    "regen_lever_enabled": True, "regen_lever_fitted": True,
    "pump_enabled": False, "pump_fitted": False, "fan_enabled": True, "fan_fitted": True,
}  # fmt: skip
"""Invented; computed so that everything fits."""


def known_of(values: dict[str, Any]) -> dict[str, Known]:
    """Return values in their roles' units as the checks take them; None is not known."""
    return {
        role: Known(_si(role, value), f"fact {role}")
        for role, value in values.items()
        if value is not None
    }


def _si(role: str, value: Any) -> Any:
    if isinstance(value, bool | str):
        return value
    return unit(ROLES[role].unit).to_si(float(value))


@pytest.fixture
def sound() -> dict[str, Any]:
    """A bike on which every check can be made, and fits."""
    return dict(SOUND)


@pytest.fixture
def found() -> Callable[..., Finding]:
    """Run one check on the sound bike with some values changed."""

    def run_one(check: str, **changed: Any) -> Finding:
        return look(get(check), known_of({**SOUND, **changed}))

    return run_one


@pytest.fixture
def known() -> Callable[[dict[str, Any]], dict[str, Known]]:
    """Turn values by role into what the checks take."""
    return known_of
