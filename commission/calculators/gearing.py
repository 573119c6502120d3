"""Driveline: reduction ratio, roll-out of a wheel, road speed and motor speed."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import (
    NO_PERMISSION,
    Curve,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip

_TURN: Final = 2.0 * math.pi


@calculator(
    name="reduction",
    topic="driveline",
    title="Reduction ratio from the teeth",
    inputs=(
        Input("driving_teeth", "teeth", "teeth of the driving (motor) sprocket", kind="integer",
              at_least=4, at_most=1000, low=8, high=30),
        Input("driven_teeth", "teeth", "teeth of the driven (wheel) sprocket", kind="integer",
              at_least=4, at_most=1000, low=25, high=80),
        Input("primary", "", "ratio of a stage before it", "1 where there is none", above=0,
              default=1, low=1, high=6),
    ),
    outputs=(
        Output("ratio", "", "turns of the motor for one of the wheel"),
        Output("final_ratio", "", "ratio of these two sprockets"),
    ),
    formula="G = G_primary · z_driven / z_driving",
    source="Definition of a gear ratio",
    traps=(("The ratio is driven over driving; the other way round gives a bike that is 16 times "
           "too fast on paper for a ratio of 4."),),
    example=Example(
        {"driving_teeth": "13", "driven_teeth": "48"}, {"ratio": "3.6923"}
    ),
)  # fmt: skip
def reduction(driving_teeth: float, driven_teeth: float, primary: float) -> Outputs:
    """Multiply the stages."""
    final = driven_teeth / driving_teeth
    return {"ratio": primary * final, "final_ratio": final}


@calculator(
    name="rollout",
    topic="driveline",
    title="Roll-out of a wheel from a measured distance",
    inputs=(
        Input("distance", "m", "distance rolled, rider seated", above=0, low=1, high=100),
        Input("turns", "", "turns of the wheel", above=0, low=1, high=50),
    ),
    outputs=(
        Output("rollout", "m", "distance of one turn"),
        Output("effective_diameter", "mm", "diameter that rolls the same"),
    ),
    formula="C = distance / turns; d = C / π",
    source="Definition of the rolling circumference",
    traps=(
        "An unloaded wheel, or π times the printed diameter, reads 2 to 4 % long.",
        "Pressure and rider count: roll it as it will be ridden.",
    ),
    example=Example({"distance": "6.21 m", "turns": "3"}, {"rollout": "2.070 m"}),
)  # fmt: skip
def rollout(distance: float, turns: float) -> Outputs:
    """Divide the distance by the turns."""
    return {"rollout": distance / turns, "effective_diameter": distance / turns / math.pi}


@calculator(
    name="wheel-speed",
    topic="driveline",
    title="Road speed from motor speed, or motor speed from road speed",
    inputs=(
        Input("motor_speed", "r/min", "motor speed", optional=True, at_least=0, high=15000),
        Input("speed", "km/h", "road speed", optional=True, at_least=0, high=200),
        Input("ratio", "", "turns of the motor for one of the wheel", above=0, low=2, high=20),
        Input("rollout", "m", "distance of one turn of the wheel", "measured, rider seated",
              above=0, low=1, high=2.4),
    ),
    outputs=(
        Output("road_speed", "km/h", "road speed"),
        Output("motor_turns", "r/min", "motor speed"),
        Output("wheel_turns", "r/min", "wheel speed"),
    ),
    formula="v = n · C / G; n = v · G / C",
    conventions=("mechanical motor speed; no slip",),
    source="Kinematics; 2200 r/min, 14 in radius, ratio 3.73 × 0.70 printed as 70 mph (seen)",
    traps=(
        ("π times the printed diameter is not the rolling circumference: loaded it is 2 to 4 % "
        "less."),
        ("Units that count r/min as radians give a speed 2π too high when multiplied by a "
        "circumference."),
    ),
    cautions=(NO_PERMISSION, "A speed limit set too high for the declared use is an offence."),
    one_of=(("motor_speed",), ("speed",)),
    curve=Curve("motor_speed", ("road_speed",), 0, 10000),
    example=Example(
        {"motor_speed": "2200 r/min", "ratio": "2.611", "rollout": "87.9646 in"},
        {"road_speed": "112.96 km/h"},
        "kinematics; 70.19 mph",
    ),
)  # fmt: skip
def wheel_speed(
    motor_speed: float | None, speed: float | None, ratio: float, rollout: float
) -> Outputs:
    """Go through the wheel's speed in whichever direction is asked."""
    if motor_speed is None:
        wheel = (speed or 0.0) / rollout * _TURN
        motor_speed = wheel * ratio
    else:
        wheel = motor_speed / ratio
    return {
        "road_speed": wheel / _TURN * rollout,
        "motor_turns": motor_speed,
        "wheel_turns": wheel,
    }
