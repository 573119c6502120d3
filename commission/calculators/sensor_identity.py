"""Which kind of temperature sensor is this? Its resistance at a known ambient says so."""

from __future__ import annotations

from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from commission.calculators import temperature_curves as curves
from commission.calculators.base import Example, Input, Output, Outputs, calculator

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_ZERO_C = 273.15
CANDIDATES: Final[Mapping[str, tuple[Callable[[float], float], float]]] = MappingProxyType(
    {
        "Pt100": (partial(curves.platinum, at_zero=100.0), 0.0030),
        "Pt1000": (partial(curves.platinum, at_zero=1000.0), 0.0030),
        "KTY84": (curves.silicon_84, 0.05),
        "KTY81-1": (partial(curves.silicon_81, at_25=1000.0), 0.02),
        "KTY81-2": (partial(curves.silicon_81, at_25=2000.0), 0.02),
        "NTC 10k": (partial(curves.ntc, at_25=10e3, beta=3435.0), 0.06),
        "NTC 100k": (partial(curves.ntc, at_25=100e3, beta=3950.0), 0.06),
    }
)
"""Curve and tolerance, as a share of the resistance, of each kind at room temperature."""


@calculator(
    name="sensor-at-ambient",
    topic="temperature sensors",
    title="Which kind of temperature sensor is this?",
    inputs=(
        Input("resistance", "Ω", "resistance measured", "unplugged, four-wire below 200 Ω",
              above=0, low=80, high=150e3),
        Input("ambient", "degC", "temperature of the part", "after hours at rest",
              at_least=-40, at_most=100, low=5, high=40),
        Input("uncertainty", "K", "how well that temperature is known", at_least=0, at_most=20,
              default=2, high=5),
        Input("meter", "%", "accuracy of the ohmmeter", at_least=0, at_most=10, default=0.5,
              high=2),
    ),
    outputs=(
        Output("kind", "", "nearest kind", kind="text"),
        Output("matches", "", "all kinds that fit", kind="text"),
        Output("expected", "Ω", "resistance of the nearest kind at this temperature"),
        Output("allowed", "Ω", "how far it may lie off"),
        Output("deviation", "%", "measured less expected, as a share"),
        Output("fits", "", "the nearest kind fits", kind="truth"),
    ),
    formula="|R − R_kind(t)| ≤ √((tolerance·R)² + (dR/dt·u_t)² + (meter·R)²)",
    conventions=("KTY84, KTY81: the silicon families of that name",),
    source="IEC 60751; published tables of silicon sensors (seen); 10 kΩ NTC with B25/85 3435 K "
    "(table seen)",
    traps=(
        ("A KTY84 has 603 Ω at 25 °C where its replacement, a Pt1000, has 1097 Ω: the wrong choice "
        "in the controller reads more than 100 K wrong."),
        "A KTY81-1 (1000 Ω) and a Pt1000 (1097 Ω) are one warm day apart: measure the ambient too.",
        "A KTY84 has a polarity: read it both ways round.",
    ),
    cautions=("Take the sensor's connector off first: the controller's pull-up falsifies it.",),
    example=Example(
        {"resistance": "1097 Ω", "ambient": "25 degC"}, {"expected": "1097.3 Ω"},
        "IEC 60751 by rtd-sensor",
    ),
)  # fmt: skip
def sensor_at_ambient(
    resistance: float, ambient: float, uncertainty: float, meter: float
) -> Outputs:
    """Compare with each kind's curve; the nearest uses the smallest share of its bound."""
    degrees = ambient - _ZERO_C
    scores = []
    for kind, (curve, tolerance) in CANDIDATES.items():
        expected = curve(degrees)
        slope = curve(degrees + 1.0) - expected
        parts = (tolerance * expected, slope * uncertainty, meter * resistance)
        bound = sum(part * part for part in parts) ** 0.5
        scores.append((abs(resistance - expected) / bound, kind, expected, bound))
    scores.sort()
    share, kind, expected, bound = scores[0]
    fitting = [each[1] for each in scores if each[0] <= 1.0]
    return {
        "kind": kind if share <= 1.0 else "none",
        "matches": ", ".join(fitting) or "none",
        "expected": expected,
        "allowed": bound,
        "deviation": resistance / expected - 1.0,
        "fits": share <= 1.0,
    }
