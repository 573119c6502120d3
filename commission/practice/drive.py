"""What the drive does, from how the bike is built, what its controller obeys and what hands do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from commission.practice.physics import levers, rotor, running

if TYPE_CHECKING:
    from commission.practice.build import Build
    from commission.practice.controller import Controller
    from commission.practice.physics.rotor import Angles
    from commission.practice.physics.running import Running

Sense = Literal["forward", "backward", "does not turn"]

INTERLOCKS: Final = {"brake": "brake_cut", "stand": "stand_switch", "tilt": "tilt_sensor"}
"""Each switch that stops the drive, and the setting that lets it."""
_NOISE: Final = 0.005
"""Share of the demand that a controller ignores at a closed throttle; no source."""


@dataclass(frozen=True, slots=True)
class Hands:
    """What is done at the controls."""

    key: bool = False
    throttle: float = 0.0
    """Share of the grip's travel, 0 to 1."""
    plugged: bool = True
    """The throttle's plug."""
    lever: float = 0.0
    brake: bool = False
    stand_out: bool = False
    tilted: bool = False
    in_drive: bool = False
    """Gear or switch at drive; at neutral nothing turns."""


@dataclass(frozen=True, slots=True)
class Motion:
    """What the wheel does."""

    sense: Sense
    demand: float = 0.0
    """Share of the drive asked for as the controller understands it, 0 to 1."""
    refused: str = ""
    """Why the controller allows no drive; empty where it does."""
    run: Running | None = None
    """How the motor runs; None where the drive is refused."""

    @property
    def turns(self) -> bool:
        """Whether the wheel turns under power."""
        return self.sense != "does not turn"

    @property
    def manner(self) -> Literal["smooth", "rough", "jerks", "does not turn"]:
        """How it turns, or tries to."""
        if self.run is None or self.demand <= 0.0:
            return "does not turn"
        if self.turns:
            return "smooth" if self.run.smooth else "rough"
        return "jerks" if abs(self.run.mean) >= running.TURNS else "does not turn"


def number(controller: Controller, role: str, otherwise: float) -> float:
    """Return a number that the bike obeys, or `otherwise` where there is no such setting."""
    value = controller.obeyed(role)
    return otherwise if value is None or isinstance(value, str) else float(value)


def truth(controller: Controller, role: str, *, otherwise: bool) -> bool:
    """Return a yes/no that the bike obeys, or `otherwise` where there is no such setting."""
    value = controller.obeyed(role)
    return value if isinstance(value, bool) else otherwise


def angles_obeyed(build: Build, controller: Controller) -> Angles:
    """Return the sensor angles that the controller drives by, electrical radians."""
    one, two, three = (
        number(controller, f"sensor_angle_{place}", true)
        for place, true in enumerate(rotor.true_angles(build.rotor, build.motor), start=1)
    )
    return one, two, three


def is_reverse(controller: Controller) -> bool:
    """Whether the direction of turning that is obeyed is the reversed one."""
    return controller.obeyed("direction") == "reversed"


def how_it_runs(build: Build, controller: Controller) -> Running:
    """Return what becomes of the torque that is asked for."""
    stored = angles_obeyed(build, controller)
    return running.running(build.rotor, build.motor, stored, reverse=is_reverse(controller))


def shown_sense(build: Build, controller: Controller) -> int:
    """Return the sign of the speed shown when the wheel is rolled forward; 0 where none shows."""
    stored = angles_obeyed(build, controller)
    return running.rolled(build.rotor, build.motor, stored, reverse=is_reverse(controller))


def demand(build: Build, controller: Controller, signal: float) -> float | None:
    """Return the share of the drive that a throttle signal asks for; None is a fault seen."""
    grip = build.throttle
    seen = build.controller.throttle_fault_detected
    asked = levers.demand(
        signal,
        number(controller, "throttle_low", grip.released + 0.1),
        number(controller, "throttle_high", grip.full - 0.1),
        number(controller, "throttle_fault_low", 0.5 * grip.released) if seen else -math.inf,
        number(controller, "throttle_fault_high", grip.supply) if seen else math.inf,
    )
    return 0.0 if asked is not None and asked <= _NOISE else asked


def stops(build: Build, controller: Controller, hands: Hands) -> str:
    """Return which interlock stops the drive; empty where none does."""
    fitted = build.switches
    says = {
        "brake": hands.brake and fitted.brake_fitted and fitted.brake_works
        and build.controller.cuts_after_brake,
        "stand": hands.stand_out and fitted.stand_fitted and fitted.stand_works,
        "tilt": hands.tilted and fitted.tilt_fitted and fitted.tilt_works,
    }  # fmt: skip
    for name, role in INTERLOCKS.items():
        if says[name] and truth(controller, role, otherwise=True):
            return name
    return ""


def motion(build: Build, controller: Controller, hands: Hands, bus: float) -> Motion:
    """Return what the wheel does now; `bus` is the bus voltage, V."""
    if not hands.in_drive:
        return Motion("does not turn", refused="neutral")
    signal = levers.voltage(build.throttle, hands.throttle, plugged=hands.plugged)
    asked = demand(build, controller, signal)
    refused = "throttle fault" if asked is None else stops(build, controller, hands)
    refused = refused or _outside_window(controller, bus)
    if asked is None or refused:
        return Motion("does not turn", refused=refused)
    asked = max(asked, build.controller.creeps)
    run = how_it_runs(build, controller)
    if asked <= 0.0 or run.sense == 0:
        return Motion("does not turn", asked, run=run)
    return Motion("forward" if run.sense > 0 else "backward", asked, run=run)


def _outside_window(controller: Controller, bus: float) -> str:
    if bus < number(controller, "low_voltage_cutoff", 0.0):
        return "low voltage"
    return "high voltage" if bus > number(controller, "high_voltage_cutoff", math.inf) else ""
