"""Platinum and silicon sensors, both ways: resistance to temperature and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from commission.calculators import temperature_curves as curves
from commission.calculators.base import (
    Curve,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.errors import CalculationError

_KELVIN: Final = 273.15
_CLASSES: Final = {"AA": (0.10, 0.0017), "A": (0.15, 0.002), "B": (0.30, 0.005), "C": (0.60, 0.01)}
"""Tolerance in K: constant, and per kelvin from 0 °C (IEC 60751)."""
RESISTANCE = Input("resistance", "Ω", "resistance measured", optional=True, above=0, high=1e6)
BOTH_WAYS = (("resistance",), ("temperature",))


def temperature_between(low: float, high: float) -> Input:
    """Return the input of a temperature with its domain in degC."""
    return Input("temperature", "degC", "temperature", optional=True, at_least=low, at_most=high,
                 low=-40, high=200)  # fmt: skip


@calculator(
    name="platinum-sensor",
    topic="temperature sensors",
    title="Pt100 and Pt1000",
    inputs=(
        Input("at_zero", "Ω", "resistance at 0 °C", "100 or 1000", above=0, default=1000, low=100,
              high=1000),
        RESISTANCE,
        temperature_between(*curves.PLATINUM_RANGE),
        Input("leads", "Ω", "resistance of the leads, both", at_least=0, default=0, high=10),
        Input("tolerance_class", "", "class of IEC 60751", kind="choice", choices=tuple(_CLASSES),
              default="B"),
    ),
    outputs=(
        Output("sensor_temperature", "degC", "temperature"),
        Output("sensor_resistance", "Ω", "resistance of the sensor alone"),
        Output("tolerance", "K", "tolerance of its class"),
        Output("tolerance_resistance", "Ω", "the same as resistance"),
        Output("lead_error", "K", "what the leads would add if forgotten"),
    ),
    formula="R = R0·(1 + A·t + B·t² + C·(t − 100)·t³), the last only below 0 °C; A = 3.9083e-3, "
    "B = −5.775e-7, C = −4.183e-12",
    source="IEC 60751 (tables seen); checked with rtd-sensor 0.8.0",
    traps=(
        "Two popular tables still print the old scale: 138.50 Ω at 100 °C instead of 138.51.",
        "0.39 Ω of lead is one kelvin on a Pt100, a tenth on a Pt1000.",
        "The American coefficient 0.003916 is another curve.",
    ),
    one_of=BOTH_WAYS,
    curve=Curve("temperature", ("sensor_resistance",), -40, 200),
    example=Example({"at_zero": "100 Ω", "resistance": "110 Ω"},
                    {"sensor_temperature": "25.684047 degC"}, "rtd-sensor 0.8.0"),
)  # fmt: skip
def platinum_sensor(
    at_zero: float,
    resistance: float | None,
    temperature: float | None,
    leads: float,
    tolerance_class: str,
) -> Outputs:
    """Follow IEC 60751 in whichever direction is asked."""
    if temperature is None:
        alone = (resistance or 0.0) - leads
        low, high = (curves.platinum(end, at_zero) for end in curves.PLATINUM_RANGE)
        _within(alone, low, high, "platinum-sensor")
        degrees = curves.platinum_temperature(alone, at_zero)
    else:
        degrees = temperature - _KELVIN
        alone = curves.platinum(degrees, at_zero)
    constant, growing = _CLASSES[tolerance_class]
    slope = curves.platinum(degrees + 0.5, at_zero) - curves.platinum(degrees - 0.5, at_zero)
    tolerance = constant + growing * abs(degrees)
    return {
        "sensor_temperature": degrees + _KELVIN,
        "sensor_resistance": alone,
        "tolerance": tolerance,
        "tolerance_resistance": tolerance * slope,
        "lead_error": leads / slope,
    }


def _within(resistance: float, low: float, high: float, name: str) -> None:
    """Refuse a resistance that the curve never has."""
    slack = 1e-4 * high  # tables end on rounded ohms
    if not low - slack <= resistance <= high + slack:
        raise CalculationError(
            f"{name}: {resistance:.6g} Ω is off the curve, which goes from {low:.6g} to"
            f" {high:.6g} Ω.",
            "Another kind of sensor, an open or a shorted wire: see sensor-at-ambient.",
        )


_Way = Callable[[float], float]
_FAMILIES: Final[Mapping[str, tuple[_Way, _Way, tuple[float, float]]]] = MappingProxyType(
    {
        "KTY84": (curves.silicon_84, curves.silicon_84_temperature, (-40.0, 300.0)),
        "KTY81-1": (
            lambda degrees: curves.silicon_81(degrees, 1000.0),
            lambda ohms: curves.silicon_81_temperature(ohms, 1000.0),
            curves.KTY81_RANGE,
        ),
        "KTY81-2": (
            lambda degrees: curves.silicon_81(degrees, 2000.0),
            lambda ohms: curves.silicon_81_temperature(ohms, 2000.0),
            curves.KTY81_RANGE,
        ),
    }
)


@calculator(
    name="silicon-sensor",
    version=2,
    topic="temperature sensors",
    title="Silicon sensors of the KTY families",
    inputs=(
        Input("family", "", "family", kind="choice", choices=tuple(_FAMILIES), default="KTY84"),
        RESISTANCE,
        temperature_between(-55, 300),
    ),
    outputs=(
        Output("sensor_temperature", "degC", "temperature"),
        Output("sensor_resistance", "Ω", "resistance"),
        Output("slope", "Ω/K", "change per kelvin"),
    ),
    conventions=("KTY84, KTY81: families of sensors, by the names the trade has for them",),
    formula="KTY84: straight lines between the points of the published table; KTY81: "
    "R = R25·(1 + 7.874e-3·Δ + 1.874e-5·Δ² − C·δ^D), Δ from 25 °C, δ above 100 °C; "
    "C, D = 3.42e-8, 3.7 (KTY81-1), 1.096e-6, 3 (KTY81-2)",
    source="Published tables for KTY84 and KTY81-2 (seen); KTY81: R100/R25 = 1.696 and both ends "
    "of KTY81-1 (seen), coefficients from memory",
    traps=(
        "A KTY84 has a polarity: reversed it reads nonsense when hot. A KTY81 has none.",
        "Above 100 °C the square alone reads a KTY81 5 to 12 K low at 150 °C: too cool.",
        "A Pt1000 replaces them with another curve: 1097 Ω at 25 °C against 603 Ω.",
    ),
    one_of=BOTH_WAYS,
    curve=Curve("temperature", ("sensor_resistance",), -40, 200),
    example=Example({"resistance": "650 Ω"}, {"sensor_temperature": "35.217 degC"},
                    "numpy.interp over the published table"),
)  # fmt: skip
def silicon_sensor(family: str, resistance: float | None, temperature: float | None) -> Outputs:
    """Follow the family's curve in whichever direction is asked."""
    forward, back, (low, high) = _FAMILIES[family]
    if temperature is None:
        resistance = resistance or 0.0
        _within(resistance, forward(low), forward(high), f"silicon-sensor ({family})")
        degrees = back(resistance)
    else:
        degrees = temperature - _KELVIN
        if not low - 1e-9 <= degrees <= high + 1e-9:
            raise CalculationError(
                f"silicon-sensor: {family} is known from {low:g} to {high:g} °C,"
                f" not at {degrees:.4g} °C.",
                "Choose another sensor.",
            )
        resistance = forward(degrees)
    return {
        "sensor_temperature": degrees + _KELVIN,
        "sensor_resistance": resistance,
        "slope": (forward(min(degrees + 1.0, high)) - forward(max(degrees - 1.0, low)))
        / (min(degrees + 1.0, high) - max(degrees - 1.0, low)),
    }
