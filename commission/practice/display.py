"""What a bike shows of itself: display, temperatures, pump and fan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from commission.practice import drive, speeds
from commission.practice.physics import sensors

if TYPE_CHECKING:
    from commission.practice.bike import Bike
    from commission.practice.build import Build, SettingValue
    from commission.practice.controller import Controller

Moves = Literal["right way", "wrong way", "still"]
"""What pump and fan do together."""
WARM_UP: Final = 5.0
"""How far the controller is above the room after an hour on the bench, K; no source."""


@dataclass(frozen=True, slots=True)
class Display:
    """What the bike's display shows."""

    mode: SettingValue | None
    """The mode it was switched on with."""
    speed: float
    """The number shown, in the unit that it says."""
    unit: str
    """The unit it says; it may count in another."""
    motor: float | None
    """Temperature, K; None where none is shown."""
    controller: float | None
    fault: bool
    """The lamp of a throttle fault."""


def of(bike: Bike) -> Display | None:
    """Return what the display shows; None where it is dark."""
    if not bike.display_on:
        return None
    moves = bike.motion()
    return Display(
        mode=bike.mode_shown(),
        speed=speeds.shown(bike.build, bike.controller, moves),
        unit="mph" if bike.controller.obeyed("speed_unit") == "mph" else "km/h",
        motor=temperature(bike, "motor"),
        controller=temperature(bike, "controller"),
        fault=moves.refused == "throttle fault",
    )


def temperature(bike: Bike, which: Literal["motor", "controller"]) -> float | None:
    """Return a temperature as the controller makes it of its sensor, K; None for no sensor set."""
    warmth = bike.build.temperature
    if which == "controller":
        return warmth.ambient + WARM_UP + warmth.controller_offset
    ohms = sensors.motor_sensor(warmth, bike.motor_temperature)
    kind = bike.controller.obeyed("motor_sensor_kind")
    return sensors.displayed(warmth.motor_kind if kind is None else str(kind), ohms)


def cooling(build: Build, controller: Controller) -> Moves:
    """Return what pump and fan do when their outputs are switched on."""
    fitted = build.cooling
    runs = [
        works and drive.truth(controller, f"{name}_output", otherwise=True)
        for name, there, works in (
            ("pump", fitted.pump_fitted, fitted.pump_works),
            ("fan", fitted.fan_fitted, fitted.fan_works),
        )
        if there
    ]
    if not all(runs) or not runs:
        return "still"
    return "wrong way" if fitted.runs_backward else "right way"
