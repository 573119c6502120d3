"""The motor's winding: copper loss, temperature by resistance, phase resistance, inductances."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import (
    Curve,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.calculators.cable import copper_factor
from commission.errors import CalculationError

_KELVIN: Final = 273.15


@calculator(
    name="copper-loss",
    topic="motor",
    title="Heat in the winding",
    inputs=(
        Input("current", "A_rms", "phase current, rms", "peak divided by √2", at_least=0, high=700),
        Input("phase_resistance", "mΩ", "phase resistance, star-equivalent", optional=True,
              above=0, low=1, high=100),
        Input("line_resistance", "mΩ", "resistance line to line", optional=True, above=0, low=2,
              high=200),
    ),
    outputs=(
        Output("loss", "W", "heat in the three phases"),
        Output("star_resistance", "mΩ", "phase resistance, star-equivalent"),
    ),
    formula="P = 3·I_rms²·R_phase = 1.5·I_rms²·R_line = 1.5·I_pk²·R_phase",
    source="Joule's law; power balance checked with motulator 0.5.0",
    traps=("The line-to-line resistance with the factor 3 doubles the loss.",
           "Resistance of the warm winding: at 120 °C copper has 39 % more than at 20 °C."),
    one_of=(("phase_resistance",), ("line_resistance",)),
    curve=Curve("current", ("loss",), 0, 400),
    example=Example({"current": "223.607 A", "phase_resistance": "6 mΩ"}, {"loss": "900.0 W"},
                    "power balance of motulator 0.5.0"),
)  # fmt: skip
def copper_loss(
    current: float, phase_resistance: float | None, line_resistance: float | None
) -> Outputs:
    """Take three times I²R of a phase."""
    if phase_resistance is None:
        phase_resistance = (line_resistance or 0.0) / 2.0
    return {"loss": 3.0 * current * current * phase_resistance, "star_resistance": phase_resistance}


@calculator(
    name="winding-temperature",
    topic="motor",
    title="Winding temperature from its resistance",
    inputs=(
        Input("cold_resistance", "mΩ", "resistance cold", above=0, low=1, high=1e6),
        Input("cold_temperature", "degC", "winding when cold", "after hours at rest", at_least=-60,
              at_most=300, low=-10, high=50),
        Input("warm_resistance", "mΩ", "resistance warm", above=0, low=1, high=1e6),
        Input("coolant", "degC", "ambient or coolant when warm", optional=True, at_least=-60,
              at_most=300, low=-20, high=60),
        Input("constant", "K", "copper constant", "235 in IEC 60034-1, 234.5 elsewhere",
              at_least=200, at_most=260, default=235, low=234.5, high=235),
    ),
    outputs=(
        Output("temperature", "degC", "winding, mean"),
        Output("rise", "K", "rise above the coolant", needs="coolant"),
    ),
    formula="t2 = R2/R1·(k + t1) − k",
    source="IEC 60034-1 (from memory); constant 234.5 for copper seen in UL text",
    traps=(
        "A coefficient taken at 0 °C (0.0043) applied from 20 °C reads 3.6 K low at 60 °C.",
        "It is the mean of the winding: the hottest spot is 10 to 15 K above.",
        "Half a per cent of ohmmeter is 2 K: four-wire, same leads, same meter.",
    ),
    example=Example(
        {"cold_resistance": "50 Ω", "cold_temperature": "20 degC", "warm_resistance": "58 Ω"},
        {"temperature": "60.8 degC"},
    ),
)  # fmt: skip
def winding_temperature(
    cold_resistance: float,
    cold_temperature: float,
    warm_resistance: float,
    coolant: float | None,
    constant: float,
) -> Outputs:
    """Scale copper's distance from its zero of resistance."""
    zero = _KELVIN - constant
    temperature = zero + warm_resistance / cold_resistance * (cold_temperature - zero)
    outputs: Outputs = {"temperature": temperature}
    if coolant is not None:
        outputs["rise"] = temperature - coolant
    return outputs


@calculator(
    name="phase-resistance",
    topic="motor",
    title="Phase resistance from line-to-line readings",
    inputs=(
        Input("ab", "mΩ", "resistance A to B", "four-wire", above=0, low=2, high=200),
        Input("bc", "mΩ", "resistance B to C", "four-wire", above=0, low=2, high=200),
        Input("ca", "mΩ", "resistance C to A", "four-wire", above=0, low=2, high=200),
        Input("temperature", "degC", "winding", at_least=-60, at_most=300, default=20, low=-10,
              high=150),
    ),
    outputs=(
        Output("star_resistance", "mΩ", "phase, star-equivalent"),
        Output("at_20", "mΩ", "the same at 20 °C"),
        Output("delta_resistance", "mΩ", "phase of a delta winding"),
        Output("imbalance", "%", "largest distance from the mean"),
    ),
    formula="R_star = mean/2; R_delta = 1.5·mean; R20 = R·254.5/(234.5 + t)",
    conventions=("a controller wants the star-equivalent value, whatever the winding",),
    source="Network algebra; checked by nodal solution with numpy",
    traps=(("Halving holds for star and delta alike: 1.5 times the reading is the delta coil, "
           "which no controller wants."),),
    example=Example({"ab": "8.0 mΩ", "bc": "8.0 mΩ", "ca": "8.0 mΩ"},
                    {"star_resistance": "4.0 mΩ", "delta_resistance": "12.0 mΩ"},
                    "nodal solution of a delta of 12 mΩ"),
)  # fmt: skip
def phase_resistance(ab: float, bc: float, ca: float, temperature: float) -> Outputs:
    """Halve the mean of the three readings."""
    mean = (ab + bc + ca) / 3.0
    return {
        "star_resistance": mean / 2.0,
        "at_20": mean / 2.0 / copper_factor(temperature),
        "delta_resistance": 1.5 * mean,
        "imbalance": max(abs(each - mean) for each in (ab, bc, ca)) / mean,
    }


@calculator(
    name="dq-inductance",
    topic="motor",
    title="Inductances along and across the magnets",
    inputs=(
        Input("ab", "uH", "inductance A to B", "rotor held still for all three", optional=True,
              above=0, low=20, high=8000),
        Input("bc", "uH", "inductance B to C", optional=True, above=0, low=20, high=8000),
        Input("ca", "uH", "inductance C to A", optional=True, above=0, low=20, high=8000),
        Input("least", "uH", "least inductance of one pair over a slow turn", optional=True,
              above=0, low=20, high=8000),
        Input("largest", "uH", "largest inductance of that pair over the turn", optional=True,
              above=0, low=20, high=8000),
    ),
    outputs=(
        Output("d_inductance", "uH", "along the magnets, d"),
        Output("q_inductance", "uH", "across, q"),
        Output("saliency", "", "q over d"),
    ),
    formula="K = (A + B + C)/3; M = √((K − A)² + (B − C)²/3); Ld = (K − M)/2; Lq = (K + M)/2; "
    "over a full turn Ld = least/2, Lq = largest/2",
    conventions=("d is the magnets' axis, so q is the larger", "star-equivalent"),
    source="Three readings at one rotor position (Dalton and Cameron; IEEE 115; from memory); "
    "checked with a forward model from motulator 0.5.0",
    traps=(
        ("Half the least and half the largest of three readings under-reads the saliency by up to "
        "11 %: only a full slow turn allows it."),
        "Meters excite with milliamperes: without saturation Lq reads high.",
    ),
    one_of=(("ab", "bc", "ca"), ("least", "largest")),
    example=Example({"ab": "135.0 uH", "bc": "180.0 uH", "ca": "135.0 uH"},
                    {"d_inductance": "60.000 uH", "q_inductance": "90.000 uH"},
                    "motulator 0.5.0 forward model"),
)  # fmt: skip
def dq_inductance(
    ab: float | None,
    bc: float | None,
    ca: float | None,
    least: float | None,
    largest: float | None,
) -> Outputs:
    """Fit the double-angle wave through the three readings, or take it from its two ends."""
    if ab is not None and bc is not None and ca is not None:
        middle = (ab + bc + ca) / 3.0
        swing = math.sqrt((middle - ab) ** 2 + (bc - ca) ** 2 / 3.0)
    else:
        low, high = least or 0.0, largest or 0.0
        middle, swing = (low + high) / 2.0, (high - low) / 2.0
    if swing < 0.0:
        raise CalculationError(
            "dq-inductance: the least inductance is above the largest.", "Swap the two."
        )
    if swing >= middle:
        raise CalculationError(
            "dq-inductance: these three readings leave no inductance along the magnets.",
            "Hold the rotor still, and read all three again.",
        )
    return {
        "d_inductance": (middle - swing) / 2.0,
        "q_inductance": (middle + swing) / 2.0,
        "saliency": (middle + swing) / (middle - swing),
    }
