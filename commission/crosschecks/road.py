"""The road: speed limit against declared use, gearing, and what the motor can turn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import Asked, Compared, Severity, Side, cross_check

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement

_LAW: Final = "Limits for the road are law; more than was declared is an offence and no insurance."
_TAPE: Final = 1.02
"""Ratio and rollout are rounded where they are entered: 2 %, common practice, no source."""
_DRIVE: Final = ("gear_ratio_counted", "rollout")


@cross_check(
    "speed-declared",
    "Speed limit within the declared top speed",
    needs=("speed_limit", "declared_top_speed"),
    source="What the owner declared",
)
def speed_declared(asked: Asked) -> Iterator[Statement]:
    """Hold the setting against what was declared."""
    yield Compared(
        asked.side("speed_limit"), "km/h", high=asked.side("declared_top_speed"), follows=_LAW,
        do="Lower the speed limit, or have the owner declare the higher speed with its use.",
    )  # fmt: skip


@cross_check(
    "speed-use",
    "Declared top speed within what the declared use allows",
    needs=("declared_top_speed", "use_speed_max"),
    source="L1e-B ends at 45 km/h (EU regulation 168/2013, from memory)",
)
def speed_use(asked: Asked) -> Iterator[Statement]:
    """Hold what was declared against its use."""
    yield Compared(
        asked.side("declared_top_speed"), "km/h", high=asked.side("use_speed_max"), follows=_LAW,
        do="Lower the declared speed, or declare another use.",
    )  # fmt: skip


@cross_check(
    "speed-true",
    "True road speed at the speed limit within the declared top speed",
    needs=("speed_limit", "gear_ratio", "wheel_circumference", *_DRIVE, "declared_top_speed"),
    calculators=("wheel-speed",),
    source="Kinematics: the controller counts motor turns; 2 % for rounding are common practice, "
    "no source",
)
def speed_true(asked: Asked) -> Iterator[Statement]:
    """Turn the motor as the controller believes, then roll the wheel as it truly is."""
    believed = asked.compute(
        "wheel-speed", speed=asked.number("speed_limit"), ratio=asked.number("gear_ratio"),
        rollout=asked.number("wheel_circumference"),
    )  # fmt: skip
    true = asked.compute(
        "wheel-speed", motor_speed=float(believed["motor_turns"]),
        ratio=asked.number("gear_ratio_counted"), rollout=asked.number("rollout"),
    )  # fmt: skip
    declared = asked.side("declared_top_speed")
    origin = asked.origin("speed_limit", "gear_ratio", "wheel_circumference", *_DRIVE)
    yield Compared(
        Side("true road speed at the speed limit", float(true["road_speed"]), origin), "km/h",
        high=Side("the declared top speed and 2 %", declared.value * _TAPE, declared.origin),
        follows=f"The display shows less than the bike rides. {_LAW}",
        do="Set ratio and distance of one turn as they were counted and rolled out.",
    )  # fmt: skip


@cross_check(
    "speed-motor",
    "Motor speed at the speed limit within what the motor bears",
    needs=("speed_limit", *_DRIVE, "motor_speed_max"),
    calculators=("wheel-speed",),
    source="Kinematics",
)
def speed_motor(asked: Asked) -> Iterator[Statement]:
    """Turn the motor as fast as the speed limit allows."""
    turned = asked.compute(
        "wheel-speed", speed=asked.number("speed_limit"), ratio=asked.number("gear_ratio_counted"),
        rollout=asked.number("rollout"),
    )  # fmt: skip
    origin = asked.origin("speed_limit", *_DRIVE)
    yield Compared(
        Side("motor speed at the speed limit", float(turned["motor_turns"]), origin), "r/min",
        high=asked.side("motor_speed_max"),
        follows="The motor is driven beyond its highest speed: bearings and magnets give way.",
        do="Lower the speed limit, or gear the bike longer.",
    )  # fmt: skip


@cross_check(
    "speed-reached",
    "The speed limit within what motor, pack and gearing reach",
    needs=("speed_limit", *_DRIVE, "motor_speed_constant", "pack_full_voltage"),
    uses=("motor_speed_max", "field_weakening"),
    calculators=("wheel-speed",),
    source="No-load speed at the full pack; kinematics",
)
def speed_reached(asked: Asked) -> Iterator[Statement]:
    """Take the motor's no-load speed at the full pack, or its highest where it is weakened."""
    fastest = _fastest(asked)
    turned = asked.compute(
        "wheel-speed", motor_speed=fastest.value, ratio=asked.number("gear_ratio_counted"),
        rollout=asked.number("rollout"),
    )  # fmt: skip
    origin = f"{fastest.origin}; {asked.origin(*_DRIVE)}"
    yield Compared(
        asked.side("speed_limit"), "km/h",
        high=Side(f"the most that {fastest.what} and gearing reach",
                  float(turned["road_speed"]), origin),
        broken=Severity.LOOK_AGAIN,
        follows="The speed limit is never reached: the limit is elsewhere, in motor, pack and "
        "gearing. Nothing shows whether it would hold.",
        do="Check ratio, rollout and speed constant; else lower the limit to what is reached.",
    )  # fmt: skip


def _fastest(asked: Asked) -> Side:
    no_load = Side("no-load speed at the full pack",
                   asked.number("motor_speed_constant") * asked.number("pack_full_voltage"),
                   asked.origin("motor_speed_constant", "pack_full_voltage"))  # fmt: skip
    if not asked.has("motor_speed_max"):
        return no_load
    highest = asked.side("motor_speed_max")
    weakened = asked.has("field_weakening") and asked.truth("field_weakening")
    return highest if weakened or highest.value < no_load.value else no_load
