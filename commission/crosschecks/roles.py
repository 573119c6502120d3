"""The roles that cross-checks speak of: the part a value plays, whatever a procedure calls it.

A procedure binds them under `roles`. A role that is not bound makes the checks that need it
*cannot be checked*; nothing is guessed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from commission.calculators.cable import CLASS_5_PLAIN


@dataclass(frozen=True, slots=True)
class Role:
    """One role."""

    name: str
    unit: str
    """The unit it is shown in; its SI value is what is computed with."""
    label: str
    """As it stands inside a sentence."""
    kind: Literal["number", "text", "truth"] = "number"
    choices: tuple[str, ...] = ()


def _fitting(name: str, label: str) -> tuple[Role, Role]:
    """Return the two roles of something that is switched on and fitted, or not."""
    return (
        Role(f"{name}_enabled", "", f"whether the {label} is switched on", "truth"),
        Role(f"{name}_fitted", "", f"whether the {label} is fitted", "truth"),
    )


FITTINGS: Final = {
    "stand_switch": "stand switch", "tilt_sensor": "tilt sensor", "brake_switch": "brake switch",
    "motor_sensor": "motor temperature sensor", "regen_lever": "regeneration lever",
    "pump": "pump", "fan": "fan",
}  # fmt: skip
"""What can be switched on without being fitted, in words."""
_ALL: Final = (
    # Pack
    Role("series_cells", "cells", "cells in series"),
    Role("parallel_cells", "cells", "cells in parallel"),
    Role("cell_full", "V", "a cell fully charged"),
    Role("cell_nominal", "V", "a cell's nominal voltage"),
    Role("cell_cutoff", "V", "a cell at cut-off"),
    Role("cell_charge_current", "A", "largest charge current of a cell"),
    Role("cell_temperature", "degC", "temperature of the coldest cell"),
    Role("pack_open_voltage", "V", "the pack at rest, as it is charged now"),
    Role("pack_full_voltage", "V", "the pack fully charged"),
    Role("pack_nominal_voltage", "V", "the pack's nominal voltage"),
    Role("pack_cutoff_voltage", "V", "the pack at cut-off"),
    Role("pack_resistance", "mΩ", "pack resistance"),
    Role("pack_current_max", "A", "largest continuous pack current"),
    Role("bms_current_max", "A", "current at which the battery management switches off"),
    Role("bms_charge_max", "A", "charge current at which the battery management switches off"),
    Role("bms_low_cutoff", "V", "voltage below which the battery management switches off"),
    Role("bms_high_cutoff", "V", "voltage above which the battery management switches off"),
    # Wiring
    Role("fuse_rating", "A", "the fuse's rated current"),
    Role("fuse_voltage", "V", "the fuse's rated d.c. voltage"),
    Role("fuse_breaking_current", "A", "the fuse's breaking capacity"),
    Role("fuse_clearing_time", "s", "time the fuse takes to clear a short circuit"),
    Role("cable_area", "", "cross-section of the battery cables in mm²", "text",
         tuple(CLASS_5_PLAIN)),
    Role("cable_loop_length", "m", "length of both battery cables together"),
    Role("cable_current_max", "A", "what the battery cable carries continuously"),
    # Controller and its limits
    Role("controller_voltage_max", "V", "the controller's highest voltage"),
    Role("controller_phase_max", "A_rms", "the controller's largest phase current"),
    Role("controller_phase_max_peak", "A_pk", "the controller's largest phase current, peak"),
    Role("electrical_frequency_max", "Hz", "the controller's highest electrical frequency"),
    Role("battery_current_limit", "A", "battery current limit"),
    Role("phase_current_limit", "A_rms", "phase current limit"),
    Role("phase_current_limit_peak", "A_pk", "phase current limit, peak"),
    Role("regen_current_limit", "A", "regeneration current limit"),
    Role("drag_current", "A", "regeneration when the throttle closes"),
    Role("lever_regen_current", "A", "regeneration by the lever fully pulled"),
    Role("low_voltage_cutoff", "V", "low voltage cut-off"),
    Role("high_voltage_cutoff", "V", "high voltage cut-off"),
    Role("power_level", "kW", "the highest power level"),
    Role("field_weakening", "", "whether field weakening is switched on", "truth"),
    Role("voltage_class_worked_by", "", "voltage class by whose rules the bike is worked on",
         "text", ("A", "B")),
    # Motor
    Role("pole_pairs", "pairs", "pole pairs set"),
    Role("motor_pole_pairs", "pairs", "the motor's pole pairs"),
    Role("motor_speed_constant", "r/min/V", "the motor's speed constant"),
    Role("motor_speed_max", "r/min", "the motor's highest speed"),
    Role("overrun_speed", "r/min", "motor speed when over-run downhill"),
    Role("motor_phase_max", "A_rms", "the motor's largest phase current"),
    Role("motor_phase_max_peak", "A_pk", "the motor's largest phase current, peak"),
    Role("flux_linkage", "mWb", "flux linkage set, peak"),
    Role("phase_resistance", "mΩ", "phase resistance set"),
    Role("magnet_coldest", "degC", "coldest magnet"),
    # Throttle and lever
    Role("throttle_released", "V", "throttle signal released"),
    Role("throttle_full_signal", "V", "throttle signal fully open"),
    Role("throttle_begins", "V", "throttle begins"),
    Role("throttle_full", "V", "throttle is full"),
    Role("throttle_fault_low", "V", "throttle fault below"),
    Role("throttle_fault_high", "V", "throttle fault above"),
    Role("lever_released", "V", "lever signal released"),
    Role("lever_begins", "V", "lever begins"),
    # Road
    Role("gear_ratio", "", "ratio set"),
    Role("gear_ratio_counted", "", "ratio counted"),
    Role("wheel_circumference", "mm", "distance of one turn set"),
    Role("rollout", "mm", "distance of one turn rolled out"),
    Role("speed_limit", "km/h", "speed limit"),
    Role("declared_top_speed", "km/h", "declared top speed"),
    Role("use_speed_max", "km/h", "the most that the declared use allows"),
    *(role for name, label in FITTINGS.items() for role in _fitting(name, label)),
)  # fmt: skip
ROLES: Final = {role.name: role for role in _ALL}
"""Every role by name."""
LABELS: Final = {role.name: role.label for role in _ALL}
MAY_BE_NOTHING: Final = frozenset(
    {
        "regen_current_limit", "drag_current", "lever_regen_current", "bms_charge_max",
        "cell_charge_current", "cell_temperature", "magnet_coldest",
        *(role for role in ROLES if role.startswith(("throttle_", "lever_"))),
    }
)  # fmt: skip
"""Roles whose number can be zero, or be counted as negative; any other says something above it."""
