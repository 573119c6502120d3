"""Probes of a second, independent look: what papers say, counted and measured on the bike."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice.physics import bus, levers, motor
from commission.practice.probes.looking import switched_on
from commission.practice.speeds import road_speed_limit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.probes.looking import Look

KNOWN_RESISTOR: Final = 1e6
"""Of the bench, for the insulation tester, ohm."""
DRILL: Final = 500.0 * math.pi / 30.0
"""Speed at which the motor is turned for its voltage, rad/s."""


def known_resistor(look: Look) -> str:
    """Return what the insulation tester shows at a resistor of 1 MΩ."""
    return look.shown("insulation tester", KNOWN_RESISTOR)


def cables(look: Look) -> str:
    """Return the resistance of both battery cables with their crimps."""
    build = look.bike.build
    look.bike.at_terminals()
    truth = bus.loop_resistance(build.wiring, build.temperature.ambient)
    return look.shown("milliohm meter", truth)


def bleed(look: Look) -> str:
    """Return the resistance that discharges the bus, measured at its dead terminals."""
    look.bike.at_terminals()
    truth = look.bike.build.wiring.bleed_resistance
    return look.shown("multimeter", truth)


def precharge(look: Look) -> str:
    """Return the resistance of the pre-charge path, measured."""
    look.bike.at_terminals()
    truth = look.bike.build.wiring.precharge_resistance
    return look.shown("multimeter", truth)


def phases(look: Look) -> str:
    """Return the insulation of the unplugged motor's winding to the frame."""
    look.bike.at_terminals()
    look.bike.wait(60.0)
    truth = look.bike.build.wiring.isolation_phases
    return look.shown("insulation tester", truth)


def winding(pair: str) -> Callable[[Look], str]:
    """Return the probe of the resistance between two of the motor's cables."""

    def seen(look: Look) -> str:
        own = look.bike.build.motor
        # An open phase is the first one: two of the three readings meet it.
        is_open = own.open_phase and "a" in pair
        truth = math.inf if is_open else 2.0 * motor.resistance(own)
        return look.shown("milliohm meter", truth)

    return seen


def back_emf(look: Look) -> str:
    """Return the voltage (rms) between two cables of the unplugged motor, turned by a drill."""
    truth = motor.back_emf(look.bike.build.motor, DRILL) / math.sqrt(2.0)
    return look.shown("multimeter", truth)


def lever_returned(look: Look) -> str:
    """Return the lever's signal after it was pulled fully and let go."""
    lever = look.bike.build.lever
    truth = 0.0 if lever is None else levers.voltage(lever, levers.let_go(lever, 1.0))
    return look.shown("multimeter", truth)


def wheel_speed(look: Look) -> str:
    """Return the true speed of the wheel at full throttle on the stand, by a tachometer."""
    bike = look.bike
    switched_on(bike)
    bike.drive_mode(allowed=True)
    bike.throttle(1.0)
    turns = bike.motion().turns
    bike.throttle(0.0)
    bike.drive_mode(allowed=False)
    speed = road_speed_limit(bike.build, bike.controller) if turns else 0.0
    return look.displayed(speed / bike.build.driveline.rollout * math.tau, 0)


def motor_sensor(look: Look) -> str:
    """Return whether a temperature sensor's wires come out of the motor."""
    fitted = look.bike.build.temperature.motor_kind != "none"
    return look.chosen("fitted" if fitted else "not fitted")


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "bus.resistance": bleed,
    "cable.resistance": cables,
    "isolation.phases": phases,
    "lever.returned": lever_returned,
    "meter.known_resistor": known_resistor,
    "motor.back_emf": back_emf,
    "motor.winding.ab": winding("ab"),
    "motor.winding.bc": winding("bc"),
    "motor.winding.ca": winding("ca"),
    "pack.series": lambda look: str(look.bike.build.pack.series),
    "precharge.measured": precharge,
    "temperature.motor.fitted": motor_sensor,
    "wheel.top_speed": wheel_speed,
}
