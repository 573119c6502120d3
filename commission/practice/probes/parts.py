"""Probes of single parts: rotor-sensor states, axle, chain, display, a throttle let go."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice.physics import driveline, rotor
from commission.practice.probes.looking import switched_on
from commission.practice.speeds import MPH, gearing_obeyed, road_speed_limit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.probes.looking import Look


def states_by_hand(look: Look) -> str:
    """Return the states of the three sensor inputs in one electrical turn by hand."""
    switched_on(look.bike)
    build = look.bike.build
    return " ".join(str(each) for each in rotor.turned_by_hand(build.rotor, build.motor))


def throttle_returned(look: Look) -> str:
    """Return the throttle's signal after it was let go from full."""
    look.bike.drive_mode(allowed=False)
    look.bike.throttle(1.0)
    look.bike.throttle(0.0)
    return look.measured("throttle signal", "multimeter")


def display_speed(look: Look) -> str:
    """Return the number on the display at the highest road speed: it may count miles unsaid."""
    bike = look.bike
    switched_on(bike)
    true = road_speed_limit(bike.build, bike.controller)
    at = driveline.motor_speed(bike.build.driveline, true)
    gearing = gearing_obeyed(bike.build, bike.controller)
    shown = driveline.displayed_speed(gearing, bike.build.motor.pole_pairs, at)
    miles = bike.build.controller.storage.display_unit == "mph"
    return look.displayed(shown / MPH if miles else shown, 0)


def axle(look: Look) -> str:
    """Return the torque at which the axle nut clicks."""
    torque = look.bike.build.driveline.axle_torque
    return look.shown("torque wrench", torque)


def chain_slack(look: Look) -> str:
    """Return the slack of the chain at its tightest place."""
    slack = look.bike.build.driveline.chain_slack
    return look.shown("tape measure", slack)


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "chain.slack": chain_slack,
    "gearing.ratio": lambda look: look.displayed(driveline.ratio(look.bike.build.driveline), 1),
    "ride.display_speed": display_speed,
    "rotor.sequence.states": states_by_hand,
    "throttle.voltage.returned": throttle_returned,
    "torque.axle": axle,
}
