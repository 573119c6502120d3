"""Braking: distance, energy, and what regeneration gives back."""

from __future__ import annotations

from commission.calculators.base import (
    NO_PERMISSION,
    Curve,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.calculators.pack_limits import REGENERATION_CAUTION
from commission.calculators.traction import GRAVITY
from commission.errors import CalculationError

_BEGIN, _END = 0.8, 0.1
"""Shares of the speed between which the mean fully developed deceleration is taken."""
_SPEED = Input("speed", "km/h", "speed at the start", above=0, at_most=1000, low=10, high=160)
_MASS = Input("mass", "kg", "bike and rider", above=0, low=80, high=350)


@calculator(
    name="braking-distance",
    topic="braking",
    title="Braking distance from deceleration, and back",
    inputs=(
        _SPEED,
        Input("deceleration", "m/s2", "deceleration", optional=True, above=0, low=2, high=10),
        Input("distance", "m", "braking distance measured", optional=True, above=0, high=200),
        Input("at_80", "m", "place at 80 % of the speed", optional=True, at_least=0, high=200),
        Input("at_10", "m", "place at 10 % of the speed", optional=True, above=0, high=200),
        Input("reaction", "s", "reaction time", at_least=0, at_most=10, default=0.67, low=0.5,
              high=2),
    ),
    outputs=(
        Output("braking", "m", "braking distance"),
        Output("thinking", "m", "distance during the reaction"),
        Output("stopping", "m", "both"),
        Output("mean_deceleration", "m/s2", "deceleration"),
        Output("time", "s", "braking time"),
    ),
    formula="d = v²/(2a); a = v²/(2d); mean fully developed: ((0.8·v)² − (0.1·v)²)/(2·(s10 − s80))",
    source="Kinematics; UN R78 (from memory); one deceleration of 6.57 m/s² reproduces the six "
    "distances of the Highway Code (seen)",
    traps=("Twice the speed is four times the distance.",
           "25.92 in the rule's formula is 2·3.6²: it holds for km/h and m only."),
    cautions=(NO_PERMISSION, "Brake tests: clear ground, full gear, from low speed upward."),
    one_of=(("deceleration",), ("distance",), ("at_80", "at_10")),
    curve=Curve("speed", ("braking", "stopping"), 10, 120),
    example=Example({"speed": "30 mph", "deceleration": "6.57 m/s2"}, {"braking": "13.69 m"},
                    "the Highway Code prints 14 m"),
)  # fmt: skip
def braking_distance(
    speed: float,
    deceleration: float | None,
    distance: float | None,
    at_80: float | None,
    at_10: float | None,
    reaction: float,
) -> Outputs:
    """Take the deceleration as it is given, then integrate it."""
    if distance is not None:
        deceleration = speed * speed / (2.0 * distance)
    elif at_80 is not None and at_10 is not None:
        if at_10 <= at_80:
            raise CalculationError(
                "braking-distance: 10 % of the speed is not reached after 80 % of it.",
                "Give both places from the same start.",
            )
        deceleration = (_BEGIN**2 - _END**2) * speed * speed / (2.0 * (at_10 - at_80))
    slowing = deceleration or 1.0
    braking = speed * speed / (2.0 * slowing)
    return {
        "braking": braking,
        "thinking": speed * reaction,
        "stopping": braking + speed * reaction,
        "mean_deceleration": slowing,
        "time": speed / slowing,
    }


@calculator(
    name="kinetic-energy",
    topic="braking",
    title="Energy of a moving bike",
    inputs=(
        _MASS,
        _SPEED,
        Input("end_speed", "km/h", "speed at the end", at_least=0, at_most=1000, default=0,
              high=150),
        Input("descent", "m", "height lost meanwhile", at_least=-10000, at_most=10000, default=0,
              low=-500, high=500),
    ),
    outputs=(
        Output("energy", "J", "energy to take out"),
        Output("energy_wh", "Wh", "the same in watt-hours"),
    ),
    formula="E = ½·m·(v1² − v2²) + m·g·h",
    source="Mechanics",
    traps=("Twice the speed is four times the energy.",),
    curve=Curve("speed", ("energy",), 10, 120),
    example=Example({"mass": "200 kg", "speed": "60 km/h"},
                    {"energy": "27777.8 J", "energy_wh": "7.716 Wh"}),
)  # fmt: skip
def kinetic_energy(mass: float, speed: float, end_speed: float, descent: float) -> Outputs:
    """Add kinetic and potential energy."""
    energy = 0.5 * mass * (speed * speed - end_speed * end_speed) + mass * GRAVITY * descent
    return {"energy": energy, "energy_wh": energy}


@calculator(
    name="regen-power",
    topic="braking",
    title="Power and current that regeneration pushes back",
    inputs=(
        _MASS,
        _SPEED,
        Input("deceleration", "m/s2", "deceleration", above=0, at_most=20, low=0.2, high=4),
        Input("road_load", "N", "road load at that speed", "see road-load", at_least=0, default=0,
              high=400),
        Input("efficiency", "%", "wheel to battery", above=0, at_most=100, default=80, low=50,
              high=92),
        Input("voltage", "V", "voltage at the battery", above=0, low=20, high=140),
        Input("charge_limit", "A", "largest charging current", "see charge-limit", optional=True,
              at_least=0, high=300),
    ),
    outputs=(
        Output("wheel_power", "W", "power at the wheel"),
        Output("battery_power", "W", "power into the battery"),
        Output("current", "A", "charging current"),
        Output("recoverable", "Wh", "energy of the stop, at most"),
        Output("within", "", "within the charging current", kind="truth", needs="charge_limit"),
        Output("deceleration_limit", "m/s2", "deceleration at the charging current",
               needs="charge_limit"),
    ),
    formula="P_wheel = (m·a − F)·v; P_battery = η·P_wheel; I = P/U; energy ≤ η·½·m·v²",
    conventions=("charging current as a positive amount",),
    source="Power balance",
    traps=(
        "The road load brakes too: forgetting it overstates what comes back.",
        "The current is highest at the highest speed, not at the hardest lever.",
        "A better driveline pushes back more: judge the charging current with a high efficiency.",
    ),
    cautions=(NO_PERMISSION, REGENERATION_CAUTION),
    curve=Curve("speed", ("battery_power", "current"), 10, 100),
    example=Example(
        {"mass": "200 kg", "speed": "60 km/h", "deceleration": "1.5 m/s2", "road_load": "99.41 N",
         "voltage": "84 V"},
        {"wheel_power": "3343.2 W", "battery_power": "2674.5 W", "current": "31.84 A"},
    ),
)  # fmt: skip
def regen_power(
    mass: float,
    speed: float,
    deceleration: float,
    road_load: float,
    efficiency: float,
    voltage: float,
    charge_limit: float | None,
) -> Outputs:
    """Take the road load off the braking force, and the losses off the power."""
    wheel = max(0.0, mass * deceleration - road_load) * speed
    battery = efficiency * wheel
    current = battery / voltage
    outputs: Outputs = {
        "wheel_power": wheel,
        "battery_power": battery,
        "current": current,
        "recoverable": efficiency * 0.5 * mass * speed * speed,
    }
    if charge_limit is not None:
        outputs["within"] = current <= charge_limit
        outputs["deceleration_limit"] = (
            charge_limit * voltage / efficiency / speed + road_load
        ) / mass
    return outputs
