"""Copper: solid wire by gauge, resistance over temperature, short circuits withstood."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import (
    NO_PERMISSION,
    Example,
    Input,
    Output,
    Outputs,
    calculator,
)  # fmt: skip
from commission.calculators.cable import COPPER_OFFSET, RESISTIVITY, copper_factor
from commission.errors import CalculationError

_HEAT_CAPACITY: Final = 3.45e6
"""J/(K·m³) of copper, as in IEC 60949."""
_FINE_RESISTIVITY: Final = 17.241e-9
"""Ω·m at 20 °C, as in IEC 60949."""
_KELVIN: Final = 273.15


@calculator(
    name="wire-gauge",
    topic="wiring",
    title="Solid wire by AWG number",
    inputs=(
        Input("gauge", "", "AWG number", "0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0",
              kind="integer", at_least=-3, at_most=40, low=-3, high=30),
        Input("length", "m", "length of one conductor", above=0, default=1, high=100),
    ),
    outputs=(
        Output("diameter", "mm", "diameter"),
        Output("area", "mm2", "cross-section"),
        Output("per_length", "Ω/km", "resistance per length at 20 °C"),
        Output("resistance", "mΩ", "resistance of the length at 20 °C"),
    ),
    formula="d = 0.127 mm · 92^((36 − n)/39); A = π·d²/4; R' = 1 / (58 S/mm · A)",
    source="ASTM B258; resistivity of IEC 60028; a printed wire table agrees (seen)",
    traps=(("Holds for solid round wire: flexible cable of the same cross-section has 10 to 14 % "
           "more resistance."),),
    cautions=(NO_PERMISSION,),
    example=Example({"gauge": "10"}, {"diameter": "2.588 mm", "area": "5.261 mm2"},
                    "a published wire table (seen)"),
)  # fmt: skip
def wire_gauge(gauge: float, length: float) -> Outputs:
    """Apply the geometric series of the gauge."""
    diameter = 0.127e-3 * 92.0 ** ((36.0 - gauge) / 39.0)
    area = math.pi * diameter * diameter / 4.0
    per_length = RESISTIVITY / area
    return {
        "diameter": diameter,
        "area": area,
        "per_length": per_length,
        "resistance": per_length * length,
    }


@calculator(
    name="copper-temperature",
    topic="wiring",
    title="Resistance of copper at another temperature",
    inputs=(
        Input("resistance", "mΩ", "resistance", above=0, low=0.01, high=1e6),
        Input("temperature", "degC", "temperature it was measured at", at_least=-200, at_most=500,
              low=-40, high=200),
        Input("target", "degC", "temperature wanted", at_least=-200, at_most=500, default=20,
              low=-40, high=200),
        Input("constant", "K", "copper constant", "234.5 physical (IEC 60028); 235 in IEC 60034-1",
              at_least=200, at_most=260, default=234.5, low=234.5, high=235),
    ),
    outputs=(
        Output("resistance_at", "mΩ", "resistance at the temperature wanted"),
        Output("factor", "", "factor"),
        Output("cable_factor", "", "the same by IEC 60228's 0.004/K"),
    ),
    formula="R2 = R1·(k + t2)/(k + t1); IEC 60228: R20 = R_t/(1 + 0.004·(t − 20))",
    source="IEC 60028 (coefficient seen); IEC 60228 annex (table seen)",
    traps=(
        "Four constants are in use: 234.5, 235, 0.00393 and 0.004 per kelvin. Say which.",
        "226 in IEC 60949 is a factor in A·√s/mm², no temperature offset.",
    ),
    example=Example({"resistance": "100 mΩ", "temperature": "70 degC"},
                    {"resistance_at": "83.6 mΩ", "cable_factor": "0.833"}),
)  # fmt: skip
def copper_temperature(
    resistance: float, temperature: float, target: float, constant: float
) -> Outputs:
    """Scale by the distance from copper's zero of resistance."""
    measured, wanted = temperature - _KELVIN, target - _KELVIN
    factor = (constant + wanted) / (constant + measured)
    cable = (1.0 + 0.004 * (wanted - 20.0)) / (1.0 + 0.004 * (measured - 20.0))
    return {"resistance_at": resistance * factor, "factor": factor, "cable_factor": cable}


@calculator(
    name="cable-short-circuit",
    topic="wiring",
    title="Short circuit a cable withstands",
    inputs=(
        Input("current", "A", "short-circuit current", above=0, low=100, high=20000),
        Input("time", "s", "time until it is interrupted", above=0, at_most=5, low=0.001),
        Input("start", "degC", "conductor before", at_least=-60, at_most=300, default=70, low=20,
              high=105),
        Input("end", "degC", "conductor at most", "160 PVC, 200 rubber, 250 XLPE", at_least=-60,
              at_most=1000, default=160, low=150, high=250),
        Input("area", "mm2", "cross-section to judge", optional=True, above=0, low=0.5, high=120),
    ),
    outputs=(
        Output("least_area", "mm2", "least cross-section"),
        Output("k", "", "constant, A·√s/mm²"),
        Output("let_through", "A2s", "I²t"),
        Output("withstands", "", "the cross-section suffices", kind="truth", needs="area"),
    ),
    formula="S = √(I²t)/k; k = √(Qc·(β + 20)/ρ20 · ln((β + t_end)/(β + t_start)))",
    conventions=("adiabatic: no heat leaves, so at most 5 s", "copper, β = 234.5"),
    source="IEC 60364-5-54, IEC 60949 (115 for PVC seen; others from memory)",
    traps=("An I²t from a let-through curve is not I² times the clearing time.",),
    cautions=(NO_PERMISSION,),
    example=Example({"current": "2000 A", "time": "0.1 s"},
                    {"k": "114.8", "least_area": "5.507 mm2"}),
)  # fmt: skip
def cable_short_circuit(
    current: float, time: float, start: float, end: float, area: float | None
) -> Outputs:
    """Balance I²R heat with the copper's heat capacity."""
    if end <= start:
        raise CalculationError(
            "cable-short-circuit: the conductor's highest temperature is not above the one before.",
            "Take both from the cable's data sheet.",
        )
    grown = math.log(copper_factor(end) / copper_factor(start))
    k = math.sqrt(_HEAT_CAPACITY * (COPPER_OFFSET + 20.0) / _FINE_RESISTIVITY * grown)
    let_through = current * current * time
    least = math.sqrt(let_through) / k
    outputs: Outputs = {"least_area": least, "k": k * 1e-6, "let_through": let_through}
    if area is not None:
        outputs["withstands"] = area >= least
    return outputs
