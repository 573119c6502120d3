"""Probes of the bike at rest: numbers on parts, papers, instruments at terminals."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.practice.probes.looking import NothingSeenError, switched_on
from commission.practice.targets import paper
from commission.procedure.expression import ExpressionError, UnknownValueError, parse

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.probes.looking import Look

_TURNS: Final = 3
"""How many turns a wheel is rolled."""
_USUAL_PRECHARGE: Final = 100.0
PROGRAM: Final = "bench program 1.0"


def identity(look: Look) -> str:
    """Return a number on a part; a part without one says so."""
    return look.bike.build.identity.get(look.ask.name, "none")


def session(look: Look) -> str:
    """Return what the program reads of the controller that it talks to."""
    switched_on(look.bike)
    controller = look.bike.build.controller
    if look.ask.name in ("program", "device"):
        return PROGRAM
    version = look.bike.controller.firmware or controller.firmware
    return controller.serial if look.ask.name == "serial" else version


def known_source(look: Look) -> str:
    """Return what the meter shows at a source of the voltage that the procedure names."""
    limits = getattr(look.step, "limits", None)
    if limits is not None and limits.target is not None:
        try:
            value = parse(limits.target).evaluate({})
        except (UnknownValueError, ExpressionError):
            value = look.bike.source
        look.bike.source = float(value) if isinstance(value, float | int) else look.bike.source
    return look.measured("known source", "multimeter")


def precharge(look: Look) -> str:
    """Return what is printed on the pre-charge resistor, also where it is bridged or broken."""
    true = look.bike.build.wiring.precharge_resistance
    sound = true if math.isfinite(true) and true > 0.0 else _USUAL_PRECHARGE
    return look.printed(paper(look.bike.build, "precharge_resistance", sound))


def insulation(place: str) -> Callable[[Look], str]:
    """Return the probe of an insulation test, for which hands are at the terminals."""

    def seen(look: Look) -> str:
        look.bike.at_terminals()
        look.bike.wait(60.0)
        return look.measured(place, "insulation tester")

    return seen


def torque(place: str) -> Callable[[Look], str]:
    """Return the probe of a torque wrench."""

    def seen(look: Look) -> str:
        if place.startswith("terminal"):
            look.bike.at_terminals()
        return look.measured(place, "torque wrench")

    return seen


def cooling_path(look: Look) -> str:
    """Return how the way of the air looks."""
    return look.chosen("clear" if look.bike.build.cooling.path_clear else "blocked")


def rollout_distance(look: Look) -> str:
    """Return the way of three turns, by tape."""
    way = _TURNS * look.bike.instruments.truth_at("one turn of the wheel")
    return look.shown("tape measure", way)


def lever(share: float) -> Callable[[Look], str]:
    """Return the probe of the lever's signal at a share of its travel."""

    def seen(look: Look) -> str:
        look.bike.lever(share)
        text = look.measured("lever signal", "multimeter")
        look.bike.lever(0.0)
        return text

    return seen


def throttle_released(look: Look) -> str:
    """Return the throttle's signal after the grip was opened and let go."""
    look.bike.drive_mode(allowed=False)
    look.bike.throttle(1.0)
    look.bike.throttle(0.0)
    return look.measured("throttle signal", "multimeter")


def throttle_swept(look: Look) -> str:
    """Return the throttle's signal where the grip was set to."""
    look.bike.drive_mode(allowed=bool(look.memo.get("careless")))
    share = float(look.given.get("x", "0")) / 100.0
    look.bike.throttle(min(1.0, max(0.0, share)))
    if look.bike.motion().turns:
        look.bike.note("drive in the sweep", "The wheel ran up while the throttle was swept.")
    text = look.measured("throttle signal", "multimeter")
    look.bike.throttle(0.0)
    return text


def room(look: Look) -> str:
    """Return the temperature of the room."""
    return look.measured("room", "thermometer")


def pack_temperature(look: Look) -> str:
    """Return the pack's temperature, as a thermometer on it shows."""
    return look.shown("thermometer", look.bike.build.pack.temperature)


def motor_sensor(look: Look) -> str:
    """Return the resistance of the unplugged motor sensor."""
    return look.measured("motor sensor", "multimeter")


def temperature_shown(of: str) -> Callable[[Look], str]:
    """Return the probe of a displayed temperature, in whole degrees."""

    def seen(look: Look) -> str:
        switched_on(look.bike)
        shown = look.bike.shown_temperature("motor" if of == "motor" else "controller")
        if shown is None:
            raise NothingSeenError(f"The display shows no temperature of the {of}.")
        return look.displayed(shown, 0)

    return seen


def _measured(place: str, kind: str) -> Callable[[Look], str]:
    return lambda look: look.measured(place, kind)


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "bike.identity": identity,
    "bike.declared_speed": lambda look: look.printed(look.bike.build.owner.declared_speed),
    "bike.use": lambda look: look.chosen(look.bike.build.owner.use),
    "bonding.case": _measured("bonding", "milliohm meter"),
    "bus.voltage": _measured("bus", "multimeter"),
    "bus.positive_to_frame": _measured("positive to frame", "multimeter"),
    "bus.negative_to_frame": _measured("negative to frame", "multimeter"),
    "cable.area": lambda look: f"{look.bike.build.wiring.area * 1e6:g}",
    "cable.loop_length": _measured("cables", "tape measure"),
    "controller.session": session,
    "cooling.path": cooling_path,
    "fuse.rating": lambda look: look.printed(look.bike.build.wiring.fuse_rating),
    "fuse.voltage": lambda look: look.printed(look.bike.build.wiring.fuse_voltage),
    "gearing.driving_teeth": lambda look: str(look.bike.build.driveline.driving_teeth),
    "gearing.driven_teeth": lambda look: str(look.bike.build.driveline.driven_teeth),
    "isolation.negative": insulation("isolation negative"),
    "isolation.positive": insulation("isolation positive"),
    "isolation.topology": lambda look: look.chosen(look.bike.build.wiring.topology),
    "lever.full": lever(1.0),
    "lever.rest": lever(0.0),
    "meter.known_source": known_source,
    "pack.temperature": pack_temperature,
    "pack.voltage": _measured("pack", "multimeter"),
    "precharge.resistance": precharge,
    "temperature.ambient": room,
    "temperature.controller": temperature_shown("controller"),
    "temperature.motor": temperature_shown("motor"),
    "temperature.motor.sensor.resistance": motor_sensor,
    "throttle.voltage": throttle_swept,
    "throttle.voltage.released": throttle_released,
    "torque.mounting": torque("mounting torque"),
    "torque.terminal": torque("terminal torque"),
    "wheel.rollout.distance": rollout_distance,
    "wheel.rollout.turns": lambda _: str(_TURNS),
    "wheel.free": lambda look: look.chosen(look.bike.wheel_by_hand()),
}
