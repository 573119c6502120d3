"""How the fitted controller is truly built, and how it keeps what is set in it. Part of `build`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Mapping

SettingValue = float | str | bool
"""What a controller holds: SI number, choice or truth."""


@dataclass(frozen=True, slots=True)
class Storage:
    """How the controller keeps what is set in it. Settings are named by their role."""

    as_found: Mapping[str, SettingValue] = field(default_factory=dict)
    """What it holds when the job begins; a setting not named has any plausible value."""
    ignores: frozenset[str] = frozenset()
    """Writes that are shown on the screen and never taken by the controller."""
    never_stored: frozenset[str] = frozenset()
    """Taken while powered, never stored: back to the old value after any key cycle."""
    lost_when_cold: frozenset[str] = frozenset()
    """Kept through a key cycle, lost when the bus has been dead."""
    route_matters: frozenset[str] = frozenset()
    """Stored only when written by another route than the usual one."""
    defaults: Mapping[str, SettingValue] = field(default_factory=dict)
    """What a lost setting falls back to, where that is not the value as found."""
    changes_others: Mapping[str, tuple[str, SettingValue]] = field(default_factory=dict)
    """Writing the first also sets the second to a value."""
    clamps: Mapping[str, float] = field(default_factory=dict)
    """Largest value the controller takes; more is cut off without a word."""
    drifts: Mapping[str, float] = field(default_factory=dict)
    """Factor by which a stored number differs after each cold cycle."""
    not_obeyed: frozenset[str] = frozenset()
    """Held and shown, yet without effect on the bike."""
    stale_screen: bool = False
    """The screen shows the program's last file until it is connected afresh."""
    factory: Mapping[str, SettingValue] = field(default_factory=dict)
    """What an update or a reset leaves, where that is not the value as found."""
    last_file: Mapping[str, SettingValue] = field(default_factory=dict)
    """What the program's last file says, where it differs from the controller's values."""
    display_unit: Literal["km/h", "mph"] = "km/h"
    """What the display truly counts in, whatever the setting says."""


@dataclass(frozen=True, slots=True)
class Controller:
    """The controller that is fitted."""

    voltage_max: float
    """V."""
    phase_current_max: float
    """A rms."""
    serial: str
    firmware: str
    storage: Storage = Storage()
    creeps: float = 0.0
    """Torque at a closed throttle as a share of the largest."""
    throttle_fault_detected: bool = True
    """Whether an unplugged throttle stops the drive when its fault limits are set right."""
    cuts_after_brake: bool = True
