"""Probes of people and of what a workshop does beside measuring: wishes, words, updates, looks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.practice.drive import number
from commission.practice.probes.looking import NothingSeenError, switched_on
from commission.practice.truths import TERMINAL_TORQUE

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.probes.looking import Look

_KMH: Final = 1.0 / 3.6
_RIDDEN_S: Final = 3600.0
NEW_FIRMWARE: Final = "9.01"
"""The version of the file that an update loads."""
_FIRM: Final = 3.0
"""Electrical degrees that a rotor-sensor board may shift and still feel firm."""


def words(look: Look) -> str:
    """Return what people say when they are asked."""
    return {
        "by": "the owner", "rider": "the owner's friend", "how": "by telephone",
        "words": "nothing out of the ordinary", "since": "last week",
    }.get(look.ask.name, "nothing more")  # fmt: skip


def update_file(look: Look) -> str:
    """Return what a firmware file says of itself."""
    return NEW_FIRMWARE if look.ask.name == "version" else f"controller-{NEW_FIRMWARE}.bin"


def update(look: Look) -> str:
    """Load the new firmware, which leaves the controller's factory settings behind."""
    switched_on(look.bike)
    look.bike.program.update_firmware(NEW_FIRMWARE)
    return "done"


def wanted_speed(look: Look) -> str:
    """Return the top speed asked for: half of the declared one, never above the limit found."""
    declared, held = look.bike.build.owner.declared_speed, look.bike.controller
    most = min(0.5 * declared, number(held, "speed_limit", declared))
    wish = max(6, int(most / _KMH))
    look.bike.agree(wish * _KMH)
    return look.printed(wish * _KMH)


def wanted_share(look: Look) -> str:
    """Return the share of the low mode asked for: 30 %, or what it has where that is less."""
    return look.printed(min(0.3, number(look.bike.controller, "power_level_low", 0.3)))


def rotor_plug(look: Look) -> str:
    """Return how the plug of the rotor sensors looks inside."""
    states = {sensor.state for sensor in look.bike.build.rotor.sensors}
    return look.chosen("wet" if "intermittent" in states else "dry")


def rotor_mounting(look: Look) -> str:
    """Return whether the sensor board moves under a finger."""
    return look.chosen("moves" if look.bike.build.rotor.loose > _FIRM else "firm")


def terminal_marks(look: Look) -> str:
    """Return how the marks across the terminals' washers look after a ride."""
    loose = look.bike.build.wiring.terminal_torque < 0.85 * TERMINAL_TORQUE
    return look.chosen("broken" if loose else "unbroken")


def key_off(look: Look) -> str:
    """Switch the key off."""
    look.bike.key(on=False)
    if look.bike.display_on:
        look.memo["reason"] = "the display stays lit"
        return "cannot"
    look.bike.wait(5.0)
    return "done"


def key_on(look: Look) -> str:
    """Switch the key on."""
    look.bike.key(on=True)
    if not look.bike.display_on:
        raise NothingSeenError("Nothing lights up with the key on.")
    return "done"


def off_seen(look: Look) -> str:
    """Return what the display does after the key was turned off."""
    switched_on(look.bike)
    look.bike.key(on=False)
    look.bike.wait(5.0)
    return look.chosen("lit" if look.bike.display_on else "dark")


def drive(*, allowed: bool) -> Callable[[Look], str]:
    """Return the probe of a drive that is allowed or inhibited in the software."""

    def done(look: Look) -> str:
        look.bike.drive_mode(allowed=allowed)
        look.bike.drive_mode(allowed=False)
        return "done"

    return done


def _always(outcome: str) -> Callable[[Look], Any]:
    return lambda look: look.chosen(outcome)


def _done(_: Look) -> str:
    return "done"


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "bike.asked": words,
    "bike.borrower": _always("borrower"),
    "bike.off_stand": _done,
    "bike.tagged": _done,
    "bike.told": words,
    "bike.wanted_mode": _always("low"),
    "bike.wanted_share": wanted_share,
    "bike.wanted_speed": wanted_speed,
    "controller.exchanged": _done,
    "controller.update": update,
    "controller.update.file": update_file,
    "controller.update.way_back": _done,
    "drive.allowed": drive(allowed=True),
    "drive.inhibited": drive(allowed=False),
    "handover.diary": _done,
    "handover.sheet": _done,
    "handover.time": _always("yes"),
    "pack.condition": _always("sound"),
    "pack.fitted": _done,
    "pack.taken_out": _done,
    "power.off": key_off,
    "power.off_seen": off_seen,
    "power.on": key_on,
    "ride.time": lambda look: look.printed(_RIDDEN_S),
    "rotor.mounting": rotor_mounting,
    "rotor.plug": rotor_plug,
    "terminal.marks": terminal_marks,
}
