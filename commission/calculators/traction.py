"""What drives the bike and what holds it back: thrust, slope, road load, top speed, coast-down."""

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
from commission.errors import CalculationError

GRAVITY: Final = 9.80665
_MASS = Input("mass", "kg", "bike and rider", above=0, low=80, high=350)
_LOAD = (
    Input("constant", "N", "constant part of the road load", optional=True, at_least=0, high=200),
    Input("quadratic", "N*h**2/km**2", "part that grows with the square of the speed",
          optional=True, above=0, low=0.01, high=0.1),
    Input("rolling", "", "rolling resistance coefficient", "0.015 to 0.03 off-road tyres",
          optional=True, at_least=0, at_most=1, low=0.004, high=0.1),
    Input("drag_area", "m**2", "drag coefficient times area", optional=True, above=0, low=0.3,
          high=1),
    Input("density", "kg/m**3", "density of the air", above=0, default=1.2, low=0.9, high=1.4),
)  # fmt: skip
_GRADIENT = Input("gradient", "%", "slope, uphill positive", at_least=-200, at_most=200, default=0,
                  low=-60, high=60)  # fmt: skip
_LOAD_WAYS = (("constant", "quadratic"), ("rolling", "drag_area"))
_LOAD_SOURCE = "40 CFR 86.529-98, table of motorcycle road loads (seen)"
_LOAD_TRAP = "Table coefficients are for road tyres; off-road tyres roll several times harder."


def load_coefficients(
    mass: float,
    constant: float | None,
    quadratic: float | None,
    rolling: float | None,
    drag_area: float | None,
    density: float,
    gradient: float,
) -> tuple[float, float]:
    """Return the constant force in N, slope included, and the factor of the squared speed."""
    angle = math.atan(gradient)
    if constant is not None and quadratic is not None:
        flat, square = constant, quadratic
    else:
        flat = (rolling or 0.0) * mass * GRAVITY * math.cos(angle)
        square = 0.5 * density * (drag_area or 0.0)
    return flat + mass * GRAVITY * math.sin(angle), square


@calculator(
    name="wheel-thrust",
    topic="driveline",
    title="Thrust at the wheel",
    inputs=(
        Input("torque", "Nm", "motor torque", at_least=0, high=150),
        Input("ratio", "", "turns of the motor for one of the wheel", above=0, low=2, high=20),
        Input("efficiency", "%", "efficiency of the driveline", above=0, at_most=100, default=95,
              low=80),
        Input("radius", "mm", "rolling radius", optional=True, above=0, low=150, high=400),
        Input("rollout", "m", "distance of one turn of the wheel", optional=True, above=0, low=1,
              high=2.4),
    ),
    outputs=(
        Output("thrust", "N", "thrust"),
        Output("wheel_torque", "Nm", "torque at the wheel"),
    ),
    formula="F = T·G·η/r, r = C/2π",
    source="Statics; inputs of a published tractive effort example (seen)",
    traps=("Half the printed diameter is more than the rolling radius: thrust reads low.",),
    cautions=(NO_PERMISSION,),
    one_of=(("radius",), ("rollout",)),
    curve=Curve("torque", ("thrust",), 0, 120),
    example=Example({"torque": "115 Nm", "ratio": "10", "efficiency": "100 %", "radius": "400 mm"},
                    {"thrust": "2875 N"}),
)  # fmt: skip
def wheel_thrust(
    torque: float, ratio: float, efficiency: float, radius: float | None, rollout: float | None
) -> Outputs:
    """Carry the torque to the ground."""
    if radius is None:
        radius = (rollout or 0.0) / (2.0 * math.pi)
    at_wheel = torque * ratio * efficiency
    return {"thrust": at_wheel / radius, "wheel_torque": at_wheel}


@calculator(
    name="gradeability",
    topic="driveline",
    title="Steepest slope for a thrust",
    inputs=(
        Input("thrust", "N", "thrust at the wheel", above=0, low=100, high=4000),
        _MASS,
        Input("rolling", "", "rolling resistance coefficient", at_least=0, at_most=1, default=0.02,
              low=0.004, high=0.1),
    ),
    outputs=(
        Output("gradient", "%", "steepest slope"),
        Output("angle", "deg", "its angle"),
    ),
    formula="sin α + c_rr·cos α = F/(m·g); gradient = tan α",
    source="Force balance; 117 Nm, ratio 12, 400 mm, 4500 kg printed as 6.5 % (seen)",
    traps=(
        "Gradient is a tangent, force a sine: at 45 % the slope pulls with 0.41 of the weight.",
        "The front wheel lifts and the rear tyre slips long before 100 %.",
    ),
    cautions=(NO_PERMISSION,),
    example=Example({"thrust": "1000 N", "mass": "200 kg", "rolling": "0.02"},
                    {"gradient": "56.58 %", "angle": "29.50 deg"}),
)  # fmt: skip
def gradeability(thrust: float, mass: float, rolling: float) -> Outputs:
    """Solve the force balance for the slope's angle."""
    share = thrust / (mass * GRAVITY * math.hypot(1.0, rolling))
    if share >= 1.0:
        raise CalculationError(
            "gradeability: the thrust is more than the weight; no slope stops it.",
            "Tyre grip and the front wheel set the limit, not the motor.",
        )
    angle = math.asin(share) - math.atan(rolling)
    return {"gradient": math.tan(angle), "angle": angle}


@calculator(
    name="road-load",
    topic="driveline",
    title="Road load: force, power and energy at a speed",
    inputs=(Input("speed", "km/h", "speed", at_least=0, at_most=1000, high=160), _MASS, *_LOAD,
            _GRADIENT),
    outputs=(
        Output("force", "N", "force at the wheel"),
        Output("power", "W", "power at the wheel"),
        Output("consumption", "Wh/km", "energy per distance at the wheel"),
    ),
    formula="F = A + C·v² + m·g·sin α, or F = c_rr·m·g·cos α + ½·ρ·c_dA·v² + m·g·sin α; P = F·v",
    source=_LOAD_SOURCE,
    traps=(_LOAD_TRAP, "Slope in per cent is a tangent: sin(atan(0.45)) is 0.41."),
    one_of=_LOAD_WAYS,
    curve=Curve("speed", ("force", "power"), 0, 120),
    example=Example(
        {"speed": "65 km/h", "mass": "200 kg", "constant": "8.69 N", "quadratic": "0.0252"},
        {"force": "115.16 N", "consumption": "31.989 Wh/km"}, "40 CFR 86.529-98 prints 115.1 N",
    ),
)  # fmt: skip
def road_load(  # noqa: PLR0913, PLR0917  one argument per declared input
    speed: float,
    mass: float,
    constant: float | None,
    quadratic: float | None,
    rolling: float | None,
    drag_area: float | None,
    density: float,
    gradient: float,
) -> Outputs:
    """Add rolling, air and slope."""
    flat, square = load_coefficients(
        mass, constant, quadratic, rolling, drag_area, density, gradient
    )
    force = flat + square * speed * speed
    return {"force": force, "power": force * speed, "consumption": force}


@calculator(
    name="top-speed",
    topic="driveline",
    title="Top speed for a power at the wheel",
    inputs=(
        Input("power", "kW", "power at the wheel", above=0, low=0.5, high=40), _MASS, *_LOAD,
        _GRADIENT,
        Input("geared", "km/h", "speed at which the motor's voltage is used up", optional=True,
              above=0, low=20, high=160),
    ),
    outputs=(
        Output("speed", "km/h", "speed at which the power is used up"),
        Output("force", "N", "road load there"),
        Output("reached", "km/h", "the smaller of both speeds", needs="geared"),
        Output("limited_by", "", "power or gearing", kind="text", needs="geared"),
    ),
    formula="root of P = (A + m·g·sin α)·v + C·v³",
    source=_LOAD_SOURCE + "; roots checked with scipy.optimize.brentq",
    traps=(
        _LOAD_TRAP,
        "A power level above what the gearing can use changes nothing: the limit is elsewhere.",
        "Power at the wheel is 10 to 25 % below power at the battery.",
    ),
    cautions=(NO_PERMISSION, "A top speed above the declared use needs a named person's leave."),
    one_of=_LOAD_WAYS,
    curve=Curve("power", ("speed",), 1, 25),
    example=Example(
        {"power": "6 kW", "mass": "200 kg", "constant": "8.69 N", "quadratic": "0.0252"},
        {"speed": "93.781 km/h"}, "scipy.optimize.brentq",
    ),
)  # fmt: skip
def top_speed(  # noqa: PLR0913, PLR0917  one argument per declared input
    power: float,
    mass: float,
    constant: float | None,
    quadratic: float | None,
    rolling: float | None,
    drag_area: float | None,
    density: float,
    gradient: float,
    geared: float | None,
) -> Outputs:
    """Come down to the root from above, where Newton's steps cannot overshoot."""
    flat, square = load_coefficients(
        mass, constant, quadratic, rolling, drag_area, density, gradient
    )
    speed = (power / square) ** (1.0 / 3.0) + math.sqrt(max(0.0, -flat) / square)
    for _ in range(60):
        step = (speed * (flat + square * speed * speed) - power) / (flat + 3 * square * speed**2)
        speed -= step
        if abs(step) <= 1e-13 * speed:
            break
    outputs: Outputs = {"speed": speed, "force": flat + square * speed * speed}
    if geared is not None:
        outputs["reached"] = min(speed, geared)
        outputs["limited_by"] = "gearing" if geared < speed else "power"
    return outputs


@calculator(
    name="coast-down",
    topic="driveline",
    title="Time and distance to coast from one speed to another",
    inputs=(
        Input("from_speed", "km/h", "speed at the start", above=0, at_most=1000, low=20, high=160),
        Input("to_speed", "km/h", "speed at the end", at_least=0, at_most=1000, high=150),
        _MASS, *_LOAD, _GRADIENT,
        Input("rotating", "%", "rotating parts, as a share of the mass", at_least=0, at_most=100,
              default=0, high=10),
    ),
    outputs=(
        Output("time", "s", "time"),
        Output("distance", "m", "distance"),
        Output("deceleration", "m/s2", "mean deceleration"),
    ),
    formula="t = m/√(AC)·(atan(v1·√(C/A)) − atan(v2·√(C/A))); "
    "s = m/(2C)·ln((A + C·v1²)/(A + C·v2²))",
    source=_LOAD_SOURCE + "; checked with scipy.integrate.quad",
    traps=(_LOAD_TRAP, "Wheels and motor store energy too: they coast a few per cent longer."),
    one_of=_LOAD_WAYS,
    example=Example(
        {"from_speed": "70 km/h", "to_speed": "60 km/h", "mass": "200 kg", "constant": "8.69 N",
         "quadratic": "0.0252"},
        {"time": "4.85 s"}, "40 CFR 86.529-98 (seen)",
    ),
)  # fmt: skip
def coast_down(  # noqa: PLR0913, PLR0917  one argument per declared input
    from_speed: float,
    to_speed: float,
    mass: float,
    constant: float | None,
    quadratic: float | None,
    rolling: float | None,
    drag_area: float | None,
    density: float,
    gradient: float,
    rotating: float,
) -> Outputs:
    """Integrate m·dv/F in closed form."""
    flat, square = load_coefficients(
        mass, constant, quadratic, rolling, drag_area, density, gradient
    )
    if to_speed >= from_speed or flat <= 0:
        raise CalculationError(
            "coast-down: the bike does not slow down from the first speed to the second.",
            "Give the higher speed first, and a slope that rolling resistance still holds.",
        )
    inertia = mass * (1.0 + rotating)
    bend = math.sqrt(square / flat)
    time = inertia / math.sqrt(flat * square)
    time *= math.atan(from_speed * bend) - math.atan(to_speed * bend)
    start, end = flat + square * from_speed**2, flat + square * to_speed**2
    return {
        "time": time,
        "distance": inertia / (2.0 * square) * math.log(start / end),
        "deceleration": (from_speed - to_speed) / time,
    }
