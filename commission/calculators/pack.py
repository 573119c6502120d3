"""Battery pack: voltage from the series count, internal resistance, sag under load, C-rate."""

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

CELLS: Final = {"nmc": (2.5, 3.6, 4.2), "lfp": (2.0, 3.2, 3.65)}
"""Cut-off, nominal and full charge of a cell in V, by chemistry."""
CLASS_B_ABOVE: Final = 60.0
"""Volt d.c.; above it ISO 6469-3 and UN R100, R136 speak of voltage class B."""
FULL_OVER_NOMINAL: Final = (0.15, 0.9)
"""Volt a cell; where full lies outside, nominal is another chemistry's (0.45 V for LFP, 0.6 V for
NMC, up to 0.85 V for high-voltage cells; from memory)."""
ROUNDING: Final = 1e-9
"""Volt; 60 V written as a product of floats is not above 60 V."""


@calculator(
    name="pack-voltage",
    version=2,
    topic="battery",
    title="Pack voltage from the series count",
    inputs=(
        Input("series", "cells", "cells in series", kind="integer", at_least=1, at_most=400,
              low=10, high=32),
        Input("chemistry", "", "cell chemistry", "gives the cell limits that are not typed",
              kind="choice", choices=tuple(CELLS), default="nmc"),
        Input("cutoff", "V", "cut-off voltage of a cell", "from the cell's data sheet",
              optional=True, above=0, at_most=5, low=2.0, high=3.3),
        Input("nominal", "V", "nominal voltage of a cell", "3.6 or 3.7 V is 2.8 % of energy apart",
              optional=True, above=0, at_most=5, low=3.2, high=3.75),
        Input("full", "V", "full-charge voltage of a cell", "from the cell's data sheet",
              optional=True, above=0, at_most=5, low=3.6, high=4.2),
    ),
    outputs=(
        Output("cutoff_voltage", "V", "pack at cut-off"),
        Output("nominal_voltage", "V", "pack nominal"),
        Output("full_voltage", "V", "pack fully charged"),
        Output("class_b", "", "above 60 V d.c. when full", kind="truth"),
    ),
    formula="U = n · u_cell, for cut-off, nominal and full charge",
    conventions=("voltage at the pack's terminals, no load",),
    source="Cell data sheets (2.5/3.6/4.2 V and 2.0/3.2/3.65 V seen on published cell pages); "
    "nominal voltage as in IEC 61960-3 (from memory)",
    traps=(
        "Nominal 3.6 or 3.7 V a cell: 72.0 or 74.0 V for 20 cells, and 2.8 % of energy.",
        "The class follows the highest voltage: 14 cells are 58.8 V, 15 cells 63.0 V when full.",
    ),
    cautions=(NO_PERMISSION, "Above 60 V d.c. a pack can kill: voltage class B rules apply."),
    example=Example(
        {"series": "14", "full": "4.2 V"},
        {"cutoff_voltage": "35.0 V", "nominal_voltage": "50.4 V", "full_voltage": "58.8 V"},
    ),
)  # fmt: skip
def pack_voltage(
    series: float,
    chemistry: str,
    cutoff: float | None,
    nominal: float | None,
    full: float | None,
) -> Outputs:
    """Multiply the cell limits by the series count."""
    usual = CELLS[chemistry]
    low = usual[0] if cutoff is None else cutoff
    middle = usual[1] if nominal is None else nominal
    high = usual[2] if full is None else full
    if not low < middle < high:
        raise CalculationError(
            f"pack-voltage: cut-off {low:g} V, nominal {middle:g} V and full {high:g} V of a cell"
            " are not in rising order.",
            "Read the three from the cell's data sheet.",
        )
    least, most = FULL_OVER_NOMINAL
    if nominal is None and not least <= high - middle <= most:
        raise CalculationError(
            f"pack-voltage: a cell of {high:g} V full is no {chemistry} cell, whose nominal voltage"
            f" is {middle:g} V.",
            "Choose the other chemistry, or give the nominal voltage from the data sheet.",
        )
    return {
        "cutoff_voltage": series * low,
        "nominal_voltage": series * middle,
        "full_voltage": series * high,
        "class_b": series * high > CLASS_B_ABOVE + ROUNDING,
    }


@calculator(
    name="pack-sag",
    topic="battery",
    title="Voltage sag under a current or a power",
    inputs=(
        Input("open_voltage", "V", "open-circuit voltage", above=0, low=20, high=140),
        Input("resistance", "mΩ", "pack resistance, d.c.", "from a two-step discharge, never the "
              "1 kHz figure", at_least=0, low=5, high=300),
        Input("current", "A", "battery current", optional=True, low=-600, high=600),
        Input("power", "kW", "power at the terminals", optional=True, low=-40, high=40),
    ),
    outputs=(
        Output("voltage", "V", "terminal voltage under load"),
        Output("current_drawn", "A", "battery current"),
        Output("power_delivered", "kW", "power at the terminals"),
        Output("sag", "V", "voltage lost in the pack"),
        Output("loss", "W", "heat in the pack"),
    ),
    formula="U = U_oc − I·R; at constant power I = (U_oc − √(U_oc² − 4·P·R)) / (2·R); "
    "no more than P_max = U_oc² / (4·R) can be drawn",
    conventions=("battery current positive on discharge", "voltage at the pack's terminals"),
    source="Ohm's law; two-step d.c. resistance as in IEC 61960 (seen described)",
    traps=(
        "P / U_nominal under-estimates the current: 12 kW from 72 V and 50 mΩ is 192 A, not 167 A.",
        "The 1 kHz impedance of a cell sheet is smaller than the d.c. resistance that sags.",
        "P_max, at half the open-circuit voltage, is where the formula ends, no usable limit.",
    ),
    cautions=(NO_PERMISSION,),
    one_of=(("current",), ("power",)),
    curve=Curve("current", ("voltage", "power_delivered"), 0, 400),
    example=Example(
        {"open_voltage": "72 V", "resistance": "50 mΩ", "power": "12 kW"},
        {"current_drawn": "192.364 A", "voltage": "62.3818 V"},
        "root of (72 − 0.05·I)·I = 12 kW by scipy.optimize.brentq",
    ),
)  # fmt: skip
def pack_sag(
    open_voltage: float, resistance: float, current: float | None, power: float | None
) -> Outputs:
    """Solve the loaded pack for its terminal voltage."""
    if current is None:
        current = current_at_power(open_voltage, resistance, power or 0.0)
    voltage = open_voltage - current * resistance
    if voltage < 0:
        raise CalculationError(
            f"pack-sag: {current:g} A drops more than the {open_voltage:g} V there are.",
            f"A short circuit draws {open_voltage / resistance:.4g} A.",
        )
    return {
        "voltage": voltage,
        "current_drawn": current,
        "power_delivered": voltage * current,
        "sag": open_voltage - voltage,
        "loss": current * current * resistance,
    }


def current_at_power(open_voltage: float, resistance: float, power: float) -> float:
    """Return the current in A at which a pack gives `power`; refuse what it can never give."""
    square = open_voltage * open_voltage - 4.0 * power * resistance
    if square < 0:
        most = open_voltage * open_voltage / (4.0 * resistance)
        raise CalculationError(
            f"This pack can never give {power / 1e3:.4g} kW; even at half its voltage it gives"
            f" {most / 1e3:.4g} kW.",
            "Check power and resistance; the limit lies elsewhere.",
        )
    # The form without a difference of near-equal numbers; it also holds for no resistance at all.
    return 2.0 * power / (open_voltage + math.sqrt(square))


@calculator(
    name="pack-resistance",
    topic="battery",
    title="Pack resistance from two loads",
    inputs=(
        Input("light_current", "A", "smaller current", at_least=0, low=0, high=100),
        Input("light_voltage", "V", "voltage at the smaller current", above=0, high=140),
        Input("heavy_current", "A", "larger current", above=0, low=5, high=600),
        Input("heavy_voltage", "V", "voltage at the larger current", above=0, high=140),
    ),
    outputs=(
        Output("resistance", "mΩ", "resistance, d.c."),
        Output("open_voltage", "V", "voltage the line reaches at no current"),
    ),
    formula="R = (U1 − U2) / (I2 − I1); U_oc = U1 + I1·R",
    conventions=("battery current positive on discharge",),
    source="Two-step discharge of IEC 61960: 0.2 C for 10 s, 1 C for 1 s (seen described)",
    traps=(
        "The 1 kHz impedance of a cell sheet is smaller: never use it for sag.",
        "A longer second step reads more: keep to the same times to compare packs.",
    ),
    cautions=(NO_PERMISSION,),
    example=Example(
        {"light_current": "1.0 A", "light_voltage": "3.70 V", "heavy_current": "5.0 A",
         "heavy_voltage": "3.62 V"},
        {"resistance": "20.0 mΩ", "open_voltage": "3.720 V"},
    ),
)  # fmt: skip
def pack_resistance(
    light_current: float, light_voltage: float, heavy_current: float, heavy_voltage: float
) -> Outputs:
    """Take the slope between the two loads."""
    if heavy_current <= light_current or heavy_voltage >= light_voltage:
        raise CalculationError(
            "pack-resistance: the larger current does not give the smaller voltage.",
            "Check which reading is which, and that the pack has rested equally.",
        )
    resistance = (light_voltage - heavy_voltage) / (heavy_current - light_current)
    return {
        "resistance": resistance,
        "open_voltage": light_voltage + light_current * resistance,
    }


@calculator(
    name="c-rate",
    topic="battery",
    title="C-rate from current, or current from C-rate",
    inputs=(
        Input("capacity", "Ah", "rated capacity", above=0, low=2, high=200),
        Input("current", "A", "current", optional=True, above=0, high=600),
        Input("rate", "", "C-rate", optional=True, above=0, high=20),
    ),
    outputs=(
        Output("c_rate", "", "multiple of the rated capacity per hour"),
        Output("current_drawn", "A", "current"),
        Output("time", "min", "time the capacity lasts"),
    ),
    formula="C = I / (capacity per hour)",
    source="Definition; five cell sheets print both (seen)",
    traps=("A cell's rate and a pack's are the same; its currents differ by the parallel count.",),
    one_of=(("current",), ("rate",)),
    example=Example({"capacity": "4000 mAh", "current": "35 A"}, {"c_rate": "8.75"}),
)  # fmt: skip
def c_rate(capacity: float, current: float | None, rate: float | None) -> Outputs:
    """Relate a current to the capacity per hour."""
    per_hour = capacity / 3600.0
    drawn = (rate or 0.0) * per_hour if current is None else current
    return {"c_rate": drawn / per_hour, "current_drawn": drawn, "time": capacity / drawn}
