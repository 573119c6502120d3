"""The invented demonstrator of `checklists/examples/demo-bike.yaml`, as a bike to work on.

Its papers are that file's facts, number for number, and its readings are those of
`demo-answers.yaml` within what its meters promise.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice.build import (
    Build,
    Controller,
    Cooling,
    Driveline,
    Grip,
    Motor,
    Owner,
    Pack,
    Rotor,
    RotorSensor,
    Storage,
    Switches,
    Thermometry,
    Wiring,
)
from commission.practice.physics.workshop import meters

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.practice.build import SettingValue

RPM: Final = math.pi / 30.0
"""rad/s for one turn a minute."""
KMH: Final = 1.0 / 3.6
AMBIENT: Final = 292.65
"""19.5 °C."""

PAPERS: Final[Mapping[str, SettingValue]] = {
    "series_cells": 17.0,
    "parallel_cells": 6.0,
    "cell_full": 4.20,
    "cell_nominal": 3.60,
    "cell_cutoff": 3.00,
    "cell_charge_current": 4.0,
    "pack_current_max": 110.0,
    "pack_resistance": 45e-3,
    "controller_voltage_max": 96.0,
    "controller_phase_max": 300.0,
    "bus_capacitance": 1.6e-3,
    "discharge_resistance": 9.1e3,
    "motor_pole_pairs": 7.0,
    "motor_speed_constant": 58.0 * RPM,
    "motor_peak_current": 260.0,
    "motor_speed_max": 4800.0 * RPM,
    "primary_ratio": 1.8,
    "motor_sensor_fitted": True,
    "regen_lever": "variable",
    "stand_switch_fitted": True,
    "tilt_sensor_fitted": False,
    "cooling": "fan",
}
IDENTITY: Final[Mapping[str, str]] = {
    "frame": "DEMO-4417",
    "controller": "K-000317",
    "removed": "K-000042",
    "motor": "M-7-0058",
    "pack": "P-17-6-11",
}
AS_FOUND: Final[Mapping[str, SettingValue]] = {
    "pole_pairs": 4.0,
    "phase_current_limit": 350.0,
    "direction": "normal",
    "field_weakening": True,
    "motor_resistance": 6.2e-3,
    "motor_flux": 14.1e-3,
    "sensor_angle_1": math.radians(60.0),
    "sensor_angle_2": math.radians(180.0),
    "sensor_angle_3": math.radians(300.0),
    "throttle_low": 1.00,
    "throttle_high": 4.00,
    "throttle_fault_low": 0.30,
    "throttle_fault_high": 4.80,
    "lever_low": 1.00,
    "lever_high": 4.00,
    "regen_by_lever": False,
    "regen_current_limit": 60.0,
    "low_voltage_cutoff": 60.0,
    "high_voltage_cutoff": 90.0,
    "battery_current_limit": 200.0,
    "power_level_low": 0.60,
    "gear_ratio": 6.50,
    "wheel_circumference": 2.080,
    "speed_limit": 90.0 * KMH,
    "speed_unit": "mph",
    "startup_mode": "high",
    "brake_cut": True,
    "stand_switch": True,
    "tilt_sensor": True,
    "pump_output": True,
    "fan_output": False,
    "motor_sensor_kind": "NTC 10k",
}


def demo_build() -> Build:
    """Return the demonstrator; always the same one."""
    return Build(
        pack=_pack(),
        wiring=_wiring(),
        motor=_motor(),
        # Mirrored by the exchanged phases these are found as 119.8, 239.6 and 359.0 degrees.
        rotor=Rotor(
            (RotorSensor(60.2), RotorSensor(300.4), RotorSensor(181.0)), noise=0.8, cogging=3.0
        ),
        throttle=Grip(released=0.84, full=4.11),
        lever=Grip(released=0.85, full=3.90),
        switches=Switches(stand_fitted=True, tilt_fitted=False),
        cooling=Cooling(fan_fitted=True),
        temperature=Thermometry(ambient=AMBIENT, motor_kind="Pt1000", controller_offset=0.0),
        driveline=Driveline(
            driving_teeth=12, driven_teeth=52, primary_ratio=1.8, rollout=1.985, mass=165.0
        ),
        controller=Controller(
            voltage_max=96.0,
            phase_current_max=300.0,
            serial=IDENTITY["controller"],
            firmware="2.14",
            storage=Storage(as_found=AS_FOUND),
        ),
        owner=Owner(use="closed", declared_speed=55.0 * KMH),
        meters=meters({}),
        papers=PAPERS,
        identity=IDENTITY,
    )


def _pack() -> Pack:
    return Pack(
        series=17,
        parallel=6,
        cell_full=4.20,
        cell_empty=3.00,
        cell_resistance=15e-3,
        cell_capacity=18e3,
        lead_resistance=2.5e-3,
        state_of_charge=0.70,
        temperature=292.15,
        cell_charge_current=4.0,
        charge_temperature_low=273.15,
        charge_temperature_high=318.15,
    )


def _wiring() -> Wiring:
    return Wiring(
        loop_length=1.90,
        area=25e-6,
        joint_resistance=0.2e-3,
        fuse_rating=150.0,
        fuse_voltage=125.0,
        # The papers' 1.6 mF carries its upper tolerance.
        bus_capacitance=1.5e-3,
        bleed_resistance=9.1e3,
        precharge_resistance=100.0,
        isolation_positive=11e6,
        isolation_negative=12e6,
        isolation_phases=80e6,
        bonding_resistance=22.4e-3,
        mounting_torque=9.0,
        terminal_torque=10.0,
    )


def _motor() -> Motor:
    flux = 1.0 / (math.sqrt(3.0) * 7 * 58.0 * RPM)
    return Motor(
        resistance=6.2e-3,
        inductance_d=27e-6,
        inductance_q=32e-6,
        flux=flux,
        pole_pairs=7,
        peak_current=260.0,
        speed_max=4800.0 * RPM,
        phase_order=-1,
        winding_temperature=AMBIENT,
        magnet_temperature=AMBIENT,
    )
