"""Probes of a bike that is switched on: what its wheel, its display and its interlocks do."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, Literal

from commission.practice import drive
from commission.practice.probes.looking import NoAnswerError, NothingSeenError, switched_on
from commission.practice.speeds import road_speed_limit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.bike import Bike
    from commission.practice.drive import Motion
    from commission.practice.probes.looking import Look

_THIRD: Final = 1.0 / 3.0
_RESTART_S, _FLICK_S = 5.0, 1.0


def at_rest(look: Look) -> str:
    """Return what the wheel does at key on with the throttle released."""
    bike = look.bike
    bike.drive_mode(allowed=True)
    switched_on(bike)
    moves = bike.motion()
    bike.drive_mode(allowed=False)
    if moves.turns:
        return look.chosen("turns")
    return look.chosen("twitches" if moves.manner == "jerks" else "still")


def direction(look: Look) -> str:
    """Return which way the wheel turns at the smallest throttle that moves it."""
    switched_on(look.bike)
    look.bike.drive_mode(allowed=True)
    moves = look.bike.twist_until_it_turns()
    look.bike.drive_mode(allowed=False)
    return look.chosen(moves.sense)


def run(look: Look) -> str:
    """Return how the wheel runs unloaded at a third of the throttle."""
    moves = _driven(look.bike)
    _let_go(look.bike)
    return look.chosen(moves.manner)


def sense(look: Look) -> str:
    """Return the direction setting under which rolling forward shows a positive speed."""
    switched_on(look.bike)
    sign = look.bike.speed_sign()
    if sign == 0:
        raise NothingSeenError("No speed is shown when the wheel is rolled.")
    reverse = drive.is_reverse(look.bike.controller)
    return look.chosen("reversed" if reverse is (sign > 0) else "normal")


def speed_sign(look: Look) -> str:
    """Return the sign of the speed that is shown when the wheel is rolled forward."""
    switched_on(look.bike)
    return look.chosen({1: "positive", -1: "negative"}.get(look.bike.speed_sign(), "none"))


def pole_pairs(look: Look) -> str:
    """Return the electrical turns counted in one turn of the motor."""
    switched_on(look.bike)
    return str(look.bike.build.motor.pole_pairs)


def sensor_angle(look: Look) -> str:
    """Return one sensor's angle of a detection run that is done once for all columns."""
    if "angles" not in look.memo:
        switched_on(look.bike)
        look.bike.wait(60.0)
        look.memo["angles"] = look.bike.program.detect()
    place = look.ask.name[-1:]
    if place not in ("1", "2", "3"):
        raise NoAnswerError(
            f"The column {look.ask.name!r} does not say which sensor.", "End its name in 1, 2 or 3."
        )
    return look.displayed(look.memo["angles"][int(place) - 1], 1)


def unplugged(look: Look) -> str:
    """Return what the drive does when the throttle's signal is lost."""
    bike = look.bike
    switched_on(bike)
    bike.drive_mode(allowed=True)
    bike.unplug_throttle()
    moves = bike.motion()
    bike.unplug_throttle(unplugged=False)
    bike.drive_mode(allowed=False)
    if moves.turns:
        return look.chosen("turns")
    return look.chosen("refused" if moves.refused == "throttle fault" else "ready")


def interlock(which: Literal["brake", "stand", "tilt"]) -> Callable[[Look], str]:
    """Return the probe of a switch that should stop a turning wheel."""

    def seen(look: Look) -> str:
        bike = look.bike
        if not _driven(bike).turns:
            _let_go(bike)
            raise NothingSeenError("The wheel does not turn, so nothing can be seen to stop it.")
        _say_stop(bike, which, stop=True)
        moves = bike.motion()
        _say_stop(bike, which, stop=False)
        _let_go(bike)
        return look.chosen("goes on" if moves.turns else "cuts out")

    return seen


def cooling(look: Look) -> str:
    """Return what pump and fan do when their outputs are switched on."""
    switched_on(look.bike)
    return look.chosen(look.bike.cooling())


def startup_mode(look: Look) -> str:
    """Return the mode that is shown after switching on; within a power cycle that was just now."""
    bike = look.bike
    if not look.asking.part:
        bike.key(on=False)
        bike.wait(_FLICK_S if look.memo.get("hurried") else _RESTART_S)
    switched_on(bike)
    mode = bike.mode_shown()
    if mode is None:
        raise NothingSeenError("The display shows no mode.")
    return look.chosen(str(mode))


def walking_pace(look: Look) -> str:
    """Return how the first metres go."""
    bike = look.bike
    switched_on(bike)
    moves = _driven(bike)
    _let_go(bike)
    bike.wait(60.0)
    if moves.refused or _bump_cuts(bike):
        return look.chosen("cuts out")
    if moves.sense == "backward":
        return look.chosen("backward")
    return look.chosen("true" if moves.manner == "smooth" else "surges")


def ridden(stage: Literal["half power", "full power"]) -> Callable[[Look], str]:
    """Return the probe of the motor's temperature after a stage of the ride.

    Read on the display, or without contact where it shows none.
    """

    def seen(look: Look) -> str:
        switched_on(look.bike)
        look.bike.ride(stage)
        shown = look.bike.shown_temperature("motor")
        return look.displayed(look.bike.motor_temperature if shown is None else shown, 0)

    return seen


def speed(look: Look) -> str:
    """Return the highest road speed by satellite, to a tenth."""
    switched_on(look.bike)
    true = road_speed_limit(look.bike.build, look.bike.controller)
    return look.displayed(true * (1.0 + look.bike.random.uniform(-0.003, 0.003)), 1)


def _driven(bike: Bike) -> Motion:
    switched_on(bike)
    bike.drive_mode(allowed=True)
    bike.throttle(_THIRD)
    return bike.motion()


def _let_go(bike: Bike) -> None:
    bike.throttle(0.0)
    bike.drive_mode(allowed=False)


def _say_stop(bike: Bike, which: str, *, stop: bool) -> None:
    if which == "brake":
        bike.brake(pulled=stop)
    elif which == "stand":
        bike.side_stand(out=stop)
    else:
        bike.tilt(tipped=stop)


def _bump_cuts(bike: Bike) -> bool:
    """Whether an input that is enabled without a sensor cuts the drive on rough ground."""
    fitted, held = bike.build.switches, bike.controller
    return any(
        not there and drive.truth(held, role, otherwise=False)
        for role, there in (
            ("stand_switch", fitted.stand_fitted),
            ("tilt_sensor", fitted.tilt_fitted),
        )
    ) or math.isinf(bike.build.wiring.joint_resistance)


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "bike.startup_mode": startup_mode,
    "cooling.running": cooling,
    "interlock.brake": interlock("brake"),
    "interlock.stand": interlock("stand"),
    "interlock.tilt": interlock("tilt"),
    "motor.pole_pairs": pole_pairs,
    "motor.run": run,
    "motor.sense": sense,
    "motor.speed_sign": speed_sign,
    "ride.full_power": ridden("full power"),
    "ride.half_power": ridden("half power"),
    "ride.speed": speed,
    "ride.walking_pace": walking_pace,
    "sensor.angle": sensor_angle,
    "throttle.unplugged": unplugged,
    "wheel.at_rest": at_rest,
    "wheel.direction": direction,
}
