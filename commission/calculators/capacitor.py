"""The controller's capacitors: charging through a resistor, and waiting until they are safe."""

from __future__ import annotations

import math

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


@calculator(
    name="precharge",
    topic="wiring",
    title="Pre-charge resistor: time, peak current, pulse energy",
    inputs=(
        Input("voltage", "V", "pack fully charged", above=0, low=20, high=140),
        Input("capacitance", "uF", "capacitance of the d.c. link", above=0, low=100, high=20000),
        Input("resistance", "Ω", "pre-charge resistor", above=0, low=5, high=2000),
        Input("fraction", "%", "share of the voltage that counts as charged", above=0, below=100,
              default=95, low=80),
        Input("load_current", "A", "current drawn during pre-charge", at_least=0, default=0,
              high=1),
    ),
    outputs=(
        Output("time", "s", "time until charged"),
        Output("time_constant", "s", "time constant"),
        Output("peak_current", "A", "current at the first moment"),
        Output("peak_power", "W", "power in the resistor at the first moment"),
        Output("energy", "J", "energy of one pulse in the resistor, no load drawn"),
        Output("end_voltage", "V", "voltage it settles at"),
    ),
    formula="τ = R·C; U_end = U − I_load·R; t = −τ·ln(1 − p·U/U_end); I_pk = U/R; P_pk = U²/R; "
    "E_R = ½·C·U²",
    source="First-order charging; 5τ and energy rule seen in a published application note on "
    "pre-charge",
    traps=(
        "3τ is 95.02 %, not full: the contactor still closes onto 5 % of the voltage.",
        "The resistor must bear the pulse energy, which no choice of resistance reduces.",
        "A load drawn meanwhile stops the voltage short of the pack's.",
    ),
    cautions=(NO_PERMISSION, "Closing a contactor onto empty capacitors welds it or arcs."),
    curve=Curve("fraction", ("time",), 10, 99.5),
    example=Example(
        {"voltage": "117.6 V", "capacitance": "2 mF", "resistance": "100 Ω"},
        {"time_constant": "0.20 s", "time": "0.5991 s", "peak_current": "1.176 A",
         "peak_power": "138.30 W", "energy": "13.830 J"},
        "scipy.integrate.solve_ivp and quad",
    ),
)  # fmt: skip
def precharge(
    voltage: float, capacitance: float, resistance: float, fraction: float, load_current: float
) -> Outputs:
    """Follow the capacitor's voltage up to a share of the pack's."""
    time_constant = resistance * capacitance
    end_voltage = voltage - load_current * resistance
    reached = fraction * voltage / end_voltage if end_voltage > 0 else math.inf
    if reached >= 1.0:
        raise CalculationError(
            f"precharge: with {load_current:g} A drawn the voltage stops at"
            f" {max(end_voltage, 0.0):.4g} V and never reaches {fraction * 100:g} %"
            f" of {voltage:g} V.",
            "Switch the load off during pre-charge, or take a smaller resistor.",
        )
    return {
        "time": -time_constant * math.log1p(-reached),
        "time_constant": time_constant,
        "peak_current": voltage / resistance,
        "peak_power": voltage * voltage / resistance,
        "energy": 0.5 * capacitance * voltage * voltage,
        "end_voltage": end_voltage,
    }


@calculator(
    name="discharge-time",
    topic="wiring",
    title="Wait until the capacitors are below a safe voltage",
    inputs=(
        Input("voltage", "V", "voltage at the moment of switching off", "a full pack is the "
              "worst case", at_least=0, low=20, high=140),
        Input("capacitance", "uF", "capacitance of the d.c. link", "with its upper tolerance, "
              "often +20 %", above=0, low=100, high=20000),
        Input("resistance", "Ω", "discharge resistor", above=0, low=100, high=200000),
        Input("safe", "V", "voltage that counts as safe", above=0, default=60, high=60),
    ),
    outputs=(
        Output("time", "s", "time to wait"),
        Output("energy", "J", "energy stored at the start"),
        Output("energy_left", "J", "energy left at the safe voltage"),
        Output("low_energy_voltage", "V", "voltage at which 0.2 J is left"),
        Output("time_constant", "s", "time constant"),
    ),
    formula="t = R·C·ln(U0 / U_safe), zero where U0 is below U_safe; E = ½·C·U²; "
    "0.2 J is left at √(0.4 J / C)",
    source="First-order discharge; 60 V d.c. as in UN R100, R136, 0.2 J as in UN GTR 20 "
    "after a crash (seen quoted), 5 s as in IEC 60204-1 (the others from memory)",
    traps=(
        "Without a fitted resistor nothing of this holds: leakage takes minutes to hours.",
        "No time to wait is not no energy: 3 mF at 58 V hold 5 J, which burn a tool's tip.",
    ),
    cautions=(
        "Wait, and then measure: a broken discharge resistor looks like no voltage on paper.",
        "A turning wheel charges the capacitors again.",
        NO_PERMISSION,
    ),
    curve=Curve("safe", ("time",), 5, 80),
    example=Example(
        {"voltage": "84 V", "capacitance": "3 mF", "resistance": "10 kΩ"},
        {"time": "10.1 s", "energy": "10.6 J"},
    ),
)  # fmt: skip
def discharge_time(voltage: float, capacitance: float, resistance: float, safe: float) -> Outputs:
    """Follow the exponential down to the safe voltage."""
    time_constant = resistance * capacitance
    left = min(voltage, safe)
    return {
        "time": time_constant * math.log(voltage / safe) if voltage > safe else 0.0,
        "energy": 0.5 * capacitance * voltage * voltage,
        "energy_left": 0.5 * capacitance * left * left,
        "low_energy_voltage": math.sqrt(0.4 / capacitance),
        "time_constant": time_constant,
    }
