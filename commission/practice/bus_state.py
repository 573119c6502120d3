"""The bus between switchings: a start, an end and a time constant, so that any moment is known."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from commission.practice.physics import bus, pack

if TYPE_CHECKING:
    from commission.practice.build import Build


class BusState:
    """The voltage between the bus terminals, as the disconnector and its parts make it."""

    def __init__(self, build: Build, voltage: float) -> None:
        self._build = build
        self._start_v = voltage
        self._start_s = 0.0
        self.handle_open = False
        """How the disconnector's handle stands; its contacts may have welded."""

    @property
    def supplied(self) -> bool:
        """Whether the pack is truly on the bus."""
        return not (self.handle_open and self._build.pack.isolator_opens)

    @property
    def closes_hard(self) -> bool:
        """Whether the pre-charge limits nothing when the main contact closes."""
        return self._build.wiring.precharge_resistance <= 0.0

    @property
    def precharge_time(self) -> float:
        """Resistance times capacitance of the pre-charge, s; 0 where it is open."""
        wiring = self._build.wiring
        product = wiring.precharge_resistance * wiring.bus_capacitance
        return product if math.isfinite(product) else 0.0

    def voltage(self, now: float) -> float:
        """Return the true bus voltage at a moment, V."""
        wiring, passed = self._build.wiring, now - self._start_s
        if not self.supplied:
            return bus.bled(self._start_v, wiring.bleed_resistance, wiring.bus_capacitance, passed)
        supply = pack.contact_voltage(self._build.pack)
        charging = wiring.precharge_resistance
        if math.isinf(charging) and self._start_v != supply:
            # The main contact waits for a bus that never fills.
            return bus.bled(self._start_v, wiring.bleed_resistance, wiring.bus_capacitance, passed)
        if passed >= 5.0 * self.precharge_time:
            return supply
        return bus.charged(
            supply, self._start_v, charging, wiring.bleed_resistance, wiring.bus_capacitance, passed
        )

    def open(self, now: float) -> None:
        """Open the disconnector."""
        self._begin(now)
        self.handle_open = True

    def close(self, now: float) -> None:
        """Close the disconnector."""
        self._begin(now)
        self.handle_open = False

    def _begin(self, now: float) -> None:
        self._start_v = self.voltage(now)
        self._start_s = now
