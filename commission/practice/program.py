"""The program that sets a bike's controller: what a person can do in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice.controller import USUAL
from commission.practice.physics import rotor

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.practice.bike import Bike
    from commission.practice.build import SettingValue

USUAL_DETECTION: Final = 0.25
"""Current of a detection run as a share of the usual phase current; no source."""


class Program:
    """The program, connected to one bike."""

    def __init__(self, bike: Bike) -> None:
        self._bike = bike
        self.detection_current = 1.0
        """As a share of the usual one."""

    def connect(self) -> None:
        """Connect the program afresh, which needs the controller switched on."""
        if self._bike.display_on:
            self._bike.controller.connect()

    def enter(self, values: Mapping[str, SettingValue], route: str = USUAL) -> None:
        """Enter settings on the screen and save them, by a route in the program."""
        for role, value in values.items():
            self._bike.controller.enter(role, value)
        self._bike.controller.save(route)
        self._bike.controller.fetch()

    def detect(self) -> rotor.Angles:
        """Run the sensor detection once: the controller shows and keeps three angles, radians."""
        bike = self._bike
        share = USUAL_DETECTION * self.detection_current
        found = rotor.detected(bike.build.rotor, bike.build.motor, share, bike.random)
        bike.wait(20.0)
        kept = {f"sensor_angle_{place}": angle for place, angle in enumerate(found, start=1)}
        bike.controller.take({role: at for role, at in kept.items() if bike.controller.knows(role)})
        return found

    def update_firmware(self, version: str) -> None:
        """Load other firmware: the settings it leaves are those of the factory."""
        self._bike.controller.reset(version)

    def raise_detection_current(self) -> None:
        """Raise the current of the detection by a quarter."""
        self.detection_current *= 1.25
