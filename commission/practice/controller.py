"""What a controller holds: stored, working and shown values, and how each of them can go astray.

Four places a value can be in: on the *screen* of the program that is connected, in *working* memory
(what the bike obeys), in *warm* memory (kept while the bus has voltage), and *stored*. A sound
controller brings a value from the screen to the store when it is saved; `build.Storage` says which
values do not get so far.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.practice.build import SettingValue, Storage

USUAL: Final = ""
"""The route by which a setting is written where no other one is asked for."""


@dataclass(slots=True)
class Controller:
    """The memory of one controller and the program that is connected to it. Mutable."""

    storage: Storage
    stored: dict[str, SettingValue] = field(default_factory=dict)
    warm: dict[str, SettingValue] = field(default_factory=dict)
    working: dict[str, SettingValue] = field(default_factory=dict)
    screen: dict[str, SettingValue] = field(default_factory=dict)
    entered: dict[str, SettingValue] = field(default_factory=dict)
    """Entered on the screen and not saved yet."""
    firmware: str = ""
    """Loaded in an update; empty before one."""

    def __post_init__(self) -> None:
        """Hold what the controller was found with."""
        self.stored.update(self.storage.as_found)
        self.working.update(self.stored)
        self.screen.update(self.working)
        if self.storage.stale_screen:
            self.screen.update(self.storage.last_file)

    def declare(self, role: str, value: SettingValue) -> None:
        """Have a setting that the build does not name, with a plausible value."""
        if role not in self.stored:
            self.stored[role] = self.working[role] = self.screen[role] = value

    def knows(self, role: str) -> bool:
        """Whether there is such a setting."""
        return role in self.stored

    def connect(self) -> None:
        """Connect the program afresh: what is shown then comes from the controller."""
        self.entered.clear()
        self.screen = dict(self.working)

    def fetch(self) -> None:
        """Have the settings shown without connecting afresh: a stale screen stays as it is."""
        if self.storage.stale_screen:
            return
        kept = {role: self.screen[role] for role in self.storage.ignores if role in self.screen}
        self.screen = dict(self.working) | kept

    def read(self, role: str) -> SettingValue:
        """Return what the screen shows; raises `KeyError` for a setting that there is not."""
        return self.screen[role]

    def enter(self, role: str, value: SettingValue) -> None:
        """Set a value on the screen; the controller knows nothing of it before `save`."""
        self.screen[role] = self.entered[role] = value

    def save(self, route: str = USUAL) -> None:
        """Send what was entered to the controller and store it, by a route in its software."""
        for role, value in self.entered.items():
            if role not in self.storage.ignores:
                self._take(role, value, route)
        self.entered.clear()

    def take(self, values: Mapping[str, SettingValue]) -> None:
        """Hold what the controller found by itself (a detection), as saved by the usual route."""
        for role, value in values.items():
            self._take(role, value, USUAL)
        self.fetch()

    def power_lost(self, *, cold: bool) -> None:
        """Come up again after the processor stopped; `cold`: the bus had no voltage meanwhile."""
        if cold:
            self.warm.clear()
            for role, factor in self.storage.drifts.items():
                before = self.stored.get(role)
                if isinstance(before, float | int) and not isinstance(before, bool):
                    self.stored[role] = before * factor
        self.working = self.stored | self.warm

    def reset(self, firmware: str) -> None:
        """Load other firmware: every setting is what the factory left."""
        self.firmware = firmware
        factory = {**self.storage.as_found, **self.storage.factory}
        self.stored.update({role: at for role, at in factory.items() if role in self.stored})
        self.warm.clear()
        self.working = dict(self.stored)
        self.fetch()

    def obeyed(self, role: str) -> SettingValue | None:
        """Return the value that the bike obeys; None for a setting that there is not."""
        if role in self.storage.not_obeyed:
            return self.storage.as_found.get(role, self.working.get(role))
        return self.working.get(role)

    def after_cold_start(self) -> Controller:
        """Return this controller as it would be after a night without power."""
        other = copy(self)
        other.stored, other.warm = dict(self.stored), dict(self.warm)
        other.power_lost(cold=True)
        return other

    def _take(self, role: str, value: SettingValue, route: str) -> None:
        taken = self._clamped(role, value)
        self._keep(role, taken, route)
        other = self.storage.changes_others.get(role)
        if other is not None:
            self._keep(other[0], other[1], route)

    def _keep(self, role: str, value: SettingValue, route: str) -> None:
        self.working[role] = value
        astray = self.storage
        by_other_route = role in astray.route_matters and route != USUAL
        if not by_other_route:
            lost_at_key = role in astray.never_stored or (
                role in astray.route_matters and role not in astray.lost_when_cold
            )
            if role in astray.lost_when_cold:
                self.warm[role] = value
            if lost_at_key or role in astray.lost_when_cold:
                if role in astray.defaults:
                    self.stored[role] = astray.defaults[role]
                return
        self.stored[role] = value
        self.warm.pop(role, None)

    def _clamped(self, role: str, value: SettingValue) -> SettingValue:
        most = self.storage.clamps.get(role)
        if most is None or isinstance(value, bool | str):
            return value
        return min(value, most)
