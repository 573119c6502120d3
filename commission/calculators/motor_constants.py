"""Motor constants in all their conventions, and electrical against mechanical speed."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator

_CONVENTIONS: Final = {"peak-line": 1.0, "rms-line": math.sqrt(2.0), "peak-phase": math.sqrt(3.0)}
"""How many times larger Kv is than from peak line-to-line volts."""
_TURN: Final = 2.0 * math.pi


@calculator(
    name="motor-constants",
    topic="motor",
    title="Kv, back-EMF, flux linkage and torque constant",
    inputs=(
        Input("pole_pairs", "pairs", "pole pairs", "half the number of poles", kind="integer",
              at_least=1, at_most=100, low=3, high=30),
        Input("kv", "r/min/V", "speed constant", optional=True, above=0, low=10, high=300),
        Input("kv_convention", "", "volts the speed constant counts", kind="choice",
              choices=tuple(_CONVENTIONS), default="peak-line"),
        Input("ke", "V/krpm", "back-EMF, peak line to line", optional=True, above=0, low=3,
              high=100),
        Input("kt_rms", "Nm/A_rms", "torque per ampere rms", optional=True, above=0, low=0.03,
              high=1.5),
        Input("flux", "Wb", "flux linkage, peak, of a phase", optional=True, above=0, low=0.002,
              high=0.3),
    ),
    outputs=(
        Output("kv_peak_line", "r/min/V", "speed constant, peak line to line"),
        Output("ke_peak_line", "V/krpm", "back-EMF, peak line to line"),
        Output("ke_si", "V*s", "back-EMF, peak line to line, per rad/s"),
        Output("flux_linkage", "Wb", "flux linkage, peak, of a phase"),
        Output("kt_per_peak", "Nm/A_pk", "torque per ampere peak"),
        Output("kt_per_rms", "Nm/A_rms", "torque per ampere rms"),
        Output("kt_block", "Nm/A", "torque per ampere of a block-commutated motor"),
    ),
    formula="Ke = 60/(2π·Kv); ψ = Ke/(√3·p); Kt_pk = 1.5·p·ψ; Kt_rms = √2·Kt_pk; Kt_block = Ke",
    conventions=("Kv in r/min per volt peak line to line, no load", ("flux linkage: peak, of a "
                 "phase, amplitude-invariant"), "sinusoidal motor"),
    source="Published motor block formulas (seen); servo manual Kt = 3·Ke of a phase (seen)",
    traps=(
        "Kv from rms line volts is √2 larger, from peak phase volts √3 larger.",
        ("9.55/Kv overstates torque per peak ampere by 15.5 % and understates it per rms ampere by "
        "18.4 %."),
        "Poles are two for each pole pair.",
        "Servo sheets print back-EMF in V rms per 1000 r/min: √2 of it is the peak asked here.",
    ),
    one_of=(("kv",), ("ke",), ("kt_rms",), ("flux",)),
    example=Example(
        {"pole_pairs": "5", "kv": "60"},
        {"ke_si": "0.159155 V*s", "flux_linkage": "0.01837763 Wb",
         "kt_per_peak": "0.1378322 Nm/A_pk", "kt_per_rms": "0.1949242 Nm/A_rms"},
        "an independent machine model (motulator 0.5.0)",
    ),
)  # fmt: skip
def motor_constants(
    pole_pairs: float,
    kv: float | None,
    kv_convention: str,
    ke: float | None,
    kt_rms: float | None,
    flux: float | None,
) -> Outputs:
    """Go through the back-EMF per rad/s, which all of them give."""
    if kv is not None:
        back_emf = _CONVENTIONS[kv_convention] / kv
    elif ke is not None:
        back_emf = ke
    elif kt_rms is not None:
        back_emf = kt_rms * math.sqrt(2.0 / 3.0)
    else:
        back_emf = (flux or 0.0) * math.sqrt(3.0) * pole_pairs
    linkage = back_emf / (math.sqrt(3.0) * pole_pairs)
    per_peak = 1.5 * pole_pairs * linkage
    return {
        "kv_peak_line": 1.0 / back_emf,
        "ke_peak_line": back_emf,
        "ke_si": back_emf,
        "flux_linkage": linkage,
        "kt_per_peak": per_peak,
        "kt_per_rms": per_peak * math.sqrt(2.0),
        "kt_block": back_emf,
    }


@calculator(
    name="electrical-speed",
    topic="motor",
    title="Electrical and mechanical speed and angle",
    inputs=(
        Input("pole_pairs", "pairs", "pole pairs", "half the number of poles", kind="integer",
              at_least=1, at_most=100, low=3, high=30),
        Input("motor_speed", "r/min", "mechanical speed", optional=True, high=15000),
        Input("electrical", "r/min", "electrical speed", optional=True, high=150000),
        Input("frequency", "Hz", "electrical frequency", optional=True, high=2500),
    ),
    outputs=(
        Output("mechanical_speed", "r/min", "mechanical speed"),
        Output("electrical_speed", "r/min", "electrical speed"),
        Output("electrical_frequency", "Hz", "electrical frequency"),
        Output("poles", "", "number of poles", kind="integer"),
        Output("sector", "deg", "mechanical angle of a 60-degree electrical sector"),
    ),
    formula="n_e = p·n; f = n_e/60; θ_e = p·θ",
    source="Definition; sensor pitches 17.1° at 7 pole pairs, 15° at 8 poles, 30° at 4 (seen)",
    traps=("A count of magnets is the number of poles: twice the pole pairs.",),
    one_of=(("motor_speed",), ("electrical",), ("frequency",)),
    example=Example({"pole_pairs": "5", "motor_speed": "4320 r/min"},
                    {"electrical_frequency": "360.0 Hz", "electrical_speed": "21600 r/min"}),
)  # fmt: skip
def electrical_speed(
    pole_pairs: float,
    motor_speed: float | None,
    electrical: float | None,
    frequency: float | None,
) -> Outputs:
    """Multiply by the pole pairs."""
    if motor_speed is not None:
        electrical = motor_speed * pole_pairs
    elif frequency is not None:
        electrical = frequency * _TURN
    angular = electrical or 0.0
    return {
        "mechanical_speed": angular / pole_pairs,
        "electrical_speed": angular,
        "electrical_frequency": angular / _TURN,
        "poles": 2.0 * pole_pairs,
        "sector": _TURN / 6.0 / pole_pairs,
    }
