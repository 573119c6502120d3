"""NTC sensors: by the B value, and through three points (Steinhart and Hart)."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators import temperature_curves as curves
from commission.calculators.base import (
    ABSOLUTE_ZERO,
    Curve,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.calculators.temperature_sensors import BOTH_WAYS, RESISTANCE, temperature_between
from commission.errors import CalculationError

_KELVIN: Final = 273.15


@calculator(
    name="ntc-beta",
    topic="temperature sensors",
    title="NTC by its B value",
    inputs=(
        Input("at_25", "Ω", "resistance at 25 °C", above=0, low=1000, high=200e3),
        Input("beta", "K", "B value", above=0, at_most=20000, low=2500, high=5000),
        RESISTANCE,
        temperature_between(-100, 400),
        Input("tolerance_25", "%", "tolerance at 25 °C", at_least=0, at_most=100, default=0,
              high=20),
        Input("tolerance_beta", "%", "tolerance of the B value", at_least=0, at_most=100,
              default=0, high=5),
    ),
    outputs=(
        Output("sensor_temperature", "degC", "temperature"),
        Output("sensor_resistance", "Ω", "resistance"),
        Output("sensitivity", "%/K", "change of resistance per kelvin"),
        Output("tolerance", "%", "tolerance of the resistance there"),
        Output("temperature_error", "K", "the same as temperature"),
    ),
    formula="R = R25·exp(B·(1/T − 1/298.15 K)); α = −B/T²; "
    "ΔR/R = ΔR25/R25 + |B·(1/T − 1/T25)|·ΔB/B",
    source="B equation; tolerance rule of a published sheet (seen); checked with thermistor-utils",
    traps=(
        ("B holds only between its two temperatures: a 3435 K part is 3.7 % off at 0 °C, 7 % at "
        "150 °C."),
        "Temperatures are kelvin in the formula: degrees Celsius give nonsense quietly.",
    ),
    one_of=BOTH_WAYS,
    curve=Curve("temperature", ("sensor_resistance",), 0, 150),
    example=Example({"at_25": "10 kΩ", "beta": "3435", "temperature": "85 degC"},
                    {"sensor_resistance": "1451.35 Ω"}, "thermistor-utils 0.0.4"),
)  # fmt: skip
def ntc_beta(
    at_25: float,
    beta: float,
    resistance: float | None,
    temperature: float | None,
    tolerance_25: float,
    tolerance_beta: float,
) -> Outputs:
    """Follow the B equation in whichever direction is asked."""
    if temperature is None:
        resistance = resistance or 0.0
        inverse = 1.0 / 298.15 + math.log(resistance / at_25) / beta
        if inverse <= 0:
            raise CalculationError(
                f"ntc-beta: {resistance:.6g} Ω is below all this sensor can reach.",
                "A shorted wire, or another kind of sensor: see sensor-at-ambient.",
            )
        temperature = 1.0 / inverse
    else:
        resistance = curves.ntc(temperature - _KELVIN, at_25, beta)
    from_25 = abs(beta * (1.0 / temperature - 1.0 / 298.15))
    sensitivity = -beta / (temperature * temperature)
    tolerance = tolerance_25 + from_25 * tolerance_beta
    return {
        "sensor_temperature": temperature,
        "sensor_resistance": resistance,
        "sensitivity": sensitivity,
        "tolerance": tolerance,
        "temperature_error": tolerance / -sensitivity,
    }


def _point(number: int) -> tuple[Input, Input]:
    return (
        Input(f"t{number}", "degC", f"temperature of point {number}", above=ABSOLUTE_ZERO,
              at_most=400, low=-40, high=200),
        Input(f"r{number}", "Ω", f"resistance at point {number}", above=0, high=1e6),
    )  # fmt: skip


@calculator(
    name="ntc-steinhart-hart",
    topic="temperature sensors",
    title="NTC through three points",
    inputs=(*_point(1), *_point(2), *_point(3), RESISTANCE, temperature_between(-100, 400)),
    outputs=(
        Output("sensor_temperature", "degC", "temperature"),
        Output("sensor_resistance", "Ω", "resistance"),
        Output("a", "", "coefficient A, 1/K"),
        Output("b", "", "coefficient B, 1/K"),
        Output("c", "", "coefficient C, 1/K"),
        Output("beta_12", "K", "B value between points 1 and 2"),
        Output("beta_23", "K", "B value between points 2 and 3"),
    ),
    formula="1/T = A + B·ln R + C·(ln R)³, through three points; "
    "B = ln(R1/R2)/(1/T1 − 1/T2) between two",
    source="Steinhart and Hart; coefficients of a published set (seen); checked with "
    "thermistor-utils",
    traps=(
        "Points close together fit the noise: spread them over the range of use.",
        "The B value differs from pair to pair of points: it is no constant of the sensor.",
    ),
    one_of=BOTH_WAYS,
    curve=Curve("temperature", ("sensor_resistance",), 0, 100),
    example=Example(
        {"t1": "0", "r1": "27445", "t2": "25", "r2": "10000", "t3": "50", "r3": "4160",
         "resistance": "6000"},
        {"sensor_temperature": "39.1430 degC", "a": "0.00084022506"},
        "thermistor-utils 0.0.4",
    ),
)  # fmt: skip
def ntc_steinhart_hart(  # noqa: PLR0913, PLR0917  one argument per declared input
    t1: float,
    r1: float,
    t2: float,
    r2: float,
    t3: float,
    r3: float,
    resistance: float | None,
    temperature: float | None,
) -> Outputs:
    """Solve the three equations, then go in whichever direction is asked."""
    a, b, c = coefficients(((t1, r1), (t2, r2), (t3, r3)))
    if resistance is not None:
        logarithm = math.log(resistance)
        inverse = a + logarithm * (b + c * logarithm * logarithm)
        if inverse <= 0:
            raise CalculationError(
                f"ntc-steinhart-hart: {resistance:.6g} Ω is off the curve.",
                "Check the three points and the sensor.",
            )
        temperature = 1.0 / inverse
    else:
        temperature = temperature or 0.0
        resistance = math.exp(_logarithm(a, b, c, 1.0 / temperature))
    return {
        "sensor_temperature": temperature,
        "sensor_resistance": resistance,
        "a": a,
        "b": b,
        "c": c,
        "beta_12": math.log(r1 / r2) / (1.0 / t1 - 1.0 / t2),
        "beta_23": math.log(r2 / r3) / (1.0 / t2 - 1.0 / t3),
    }


def coefficients(
    points: tuple[tuple[float, float], tuple[float, float], tuple[float, float]],
) -> tuple[float, float, float]:
    """Return A, B, C through three points of (K, Ω); refuse points no NTC can have."""
    (l1, y1), (l2, y2), (l3, y3) = ((math.log(ohms), 1.0 / kelvin) for kelvin, ohms in points)
    if l1 in (l2, l3) or l2 == l3:
        raise CalculationError("Two of the points have the same resistance.", "Spread them out.")
    first, second = (y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1)
    c = (second - first) / (l3 - l2) / (l1 + l2 + l3)
    b = first - c * (l1 * l1 + l1 * l2 + l2 * l2)
    if b <= 0 or c < 0:
        raise CalculationError(
            "These points are not those of an NTC: its resistance falls smoothly as it warms.",
            "Check each pair of temperature and resistance.",
        )
    return y1 - l1 * (b + c * l1 * l1), b, c


def _logarithm(a: float, b: float, c: float, inverse: float) -> float:
    """Return ln R where 1/T is `inverse`: the one real root of a rising cubic."""
    if c == 0:
        return (inverse - a) / b
    half, third = (a - inverse) / (2.0 * c), b / (3.0 * c)
    root = math.sqrt(third**3 + half * half)
    # Adding like signs keeps the digits; the other cube root follows from their product.
    large = math.copysign((root + abs(half)) ** (1.0 / 3.0), -half)
    return large - third / large
