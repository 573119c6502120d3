"""Every cross-check, in the order in which they are shown."""

from __future__ import annotations

import difflib
import functools
from typing import TYPE_CHECKING

from commission.errors import ProcedureError

if TYPE_CHECKING:
    from commission.crosschecks.base import CrossCheck


@functools.cache
def all_checks() -> tuple[CrossCheck, ...]:
    """Return every check: wiring, pack, regeneration, motor, power, road, inputs."""
    from commission.crosschecks import inputs, motor, pack, power, regeneration, road, wiring

    return (
        wiring.fuse_current, wiring.fuse_cable, wiring.cable_current, wiring.cable_heat,
        wiring.cable_short_circuit, wiring.fuse_breaking,
        pack.pack_current, pack.battery_management_current, pack.sag_cut_off,
        pack.low_cut_off_cells, pack.high_cut_off_cells, pack.cut_offs_battery_management,
        pack.controller_voltage, pack.voltage_class, pack.battery_limit_reached,
        regeneration.regeneration_charge, regeneration.regeneration_full_pack,
        regeneration.regeneration_battery_management, regeneration.drag_and_lever,
        motor.phase_motor, motor.phase_controller, motor.over_speed, motor.pole_pairs,
        motor.electrical_frequency, motor.flux_linkage,
        power.power_level_pack, power.power_level_gearing,
        road.speed_declared, road.speed_use, road.speed_true, road.speed_motor, road.speed_reached,
        *inputs.FITTED, inputs.throttle_window, inputs.lever_window,
    )  # fmt: skip


@functools.cache
def names() -> tuple[str, ...]:
    """Return the ids of all checks."""
    return tuple(check.id for check in all_checks())


def get(name: str) -> CrossCheck:
    """Return the check of this id.

    Raises:
        ProcedureError: there is none; the hint names the nearest.
    """
    found = next((check for check in all_checks() if check.id == name), None)
    if found is None:
        near = difflib.get_close_matches(name, names(), n=1, cutoff=0.4)
        hint = f"Did you mean {near[0]}?" if near else "`commission cross-check --list` has them."
        raise ProcedureError(f"There is no cross-check {name[:60]!r}.", hint)
    return found
