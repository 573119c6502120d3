"""What honest papers say of a bike: the facts that a procedure asks for, by name, SI."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice.physics import pack as packs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.practice.build import Build, Motor, SettingValue

RPM: Final = math.pi / 30.0
"""rad/s for one turn a minute."""
UPPER_TOLERANCE: Final = 1.2
"""Of a capacitor: the papers of the bus carry it, and truth lies below."""
_NOMINAL: Final = {"nmc": 3.6, "lfp": 3.2}
_LOADING: Final = 0.75


def papers(build: Build) -> Mapping[str, SettingValue]:
    """Return what plates, data sheets and labels of a sound bike say.

    The pack's continuous current is what its fuse carries; resistance and capacitance are rounded
    up as papers do.
    """
    return {**_pack(build), **_machine(build), **_fitted(build)}


def speed_constant(motor: Motor) -> float:
    """Return rad/s per volt d.c. of the cold motor without load."""
    return 1.0 / (math.sqrt(3.0) * motor.pole_pairs * motor.flux)


def _pack(build: Build) -> dict[str, SettingValue]:
    pack = build.pack
    return {
        "series_cells": float(pack.series),
        "parallel_cells": float(pack.parallel),
        "cell_full": pack.cell_full,
        "cell_nominal": _NOMINAL[pack.chemistry],
        "cell_cutoff": pack.cell_empty,
        "cell_charge_current": pack.cell_charge_current,
        # One ampere below what the fuse carries, so that no rounding decides.
        "pack_current_max": 5.0 * math.floor((_LOADING * build.wiring.fuse_rating - 1.0) / 5.0),
        "pack_resistance": math.ceil(packs.resistance(pack) * 1e3) * 1e-3,
    }


def _machine(build: Build) -> dict[str, SettingValue]:
    wiring, motor, controller = build.wiring, build.motor, build.controller
    return {
        "controller_voltage_max": controller.voltage_max,
        "controller_phase_max": controller.phase_current_max,
        "bus_capacitance": math.ceil(UPPER_TOLERANCE * wiring.bus_capacitance * 1e4) * 1e-4,
        "discharge_resistance": wiring.bleed_resistance,
        "motor_pole_pairs": float(motor.pole_pairs),
        "motor_speed_constant": speed_constant(motor),
        "motor_peak_current": motor.peak_current,
        "motor_speed_max": motor.speed_max,
        "primary_ratio": build.driveline.primary_ratio,
    }


def _fitted(build: Build) -> dict[str, SettingValue]:
    cooling, lever = build.cooling, build.lever
    kinds = {(False, False): "none", (True, False): "pump", (False, True): "fan"}
    return {
        "motor_sensor_fitted": build.temperature.motor_kind != "none",
        "regen_lever": (
            "not fitted" if lever is None else "switch" if lever.switch else "variable"
        ),
        "stand_switch_fitted": build.switches.stand_fitted,
        "tilt_sensor_fitted": build.switches.tilt_fitted,
        "cooling": kinds.get((cooling.pump_fitted, cooling.fan_fitted), "pump and fan"),
    }
