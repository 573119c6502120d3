"""A permanent-magnet motor in dq axes: torque, base speed, field weakening."""

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

MODULATION: Final = {
    "sine-triangle": 0.5, "space-vector": 1.0 / math.sqrt(3.0), "six-step": 2.0 / math.pi,
}  # fmt: skip
"""Peak phase voltage over d.c. voltage."""
_POLE_PAIRS = Input("pole_pairs", "pairs", "pole pairs", kind="integer", at_least=1, at_most=100,
                    low=3, high=30)  # fmt: skip
_FLUX = Input("flux", "Wb", "flux linkage, peak, of a phase", above=0, low=0.002, high=0.3)
_LD = Input("d_inductance", "uH", "inductance along the magnets, d", above=0, low=10, high=2000)
_LQ = Input("q_inductance", "uH", "inductance across, q", above=0, low=10, high=4000)
_MOTOR = (_POLE_PAIRS, _FLUX, _LD, _LQ)
_VOLTAGE = Input("voltage", "V", "voltage at the controller", above=0, low=20, high=140)
_WAY = Input("modulation", "", "kind of modulation", kind="choice", choices=tuple(MODULATION),
             default="space-vector")  # fmt: skip
_AMPLITUDE = "dq amplitude-invariant: currents in A peak, factor 3/2 in power and torque"
_EXAMPLE = {"pole_pairs": "5", "flux": "0.020 Wb", "d_inductance": "60 uH",
            "q_inductance": "90 uH"}  # fmt: skip


@calculator(
    name="torque",
    topic="motor",
    title="Torque from dq currents, and the most torque that current gives",
    inputs=(
        *_MOTOR,
        Input("d_current", "A_pk", "current along d", "negative weakens the field", low=-1000,
              high=0),
        Input("q_current", "A_pk", "current across, q", low=-1000, high=1000),
    ),
    outputs=(
        Output("torque", "Nm", "torque"),
        Output("magnet_torque", "Nm", "of it by the magnets"),
        Output("reluctance_torque", "Nm", "of it by reluctance"),
        Output("amplitude", "A_pk", "current, peak"),
        Output("best_torque", "Nm", "most torque this current can give"),
        Output("best_angle", "deg", "current angle that gives it"),
    ),
    formula="T = 1.5·p·(ψ·iq + (Ld − Lq)·id·iq); most torque at "
    "id = −2·ΔL·I²/(ψ + √(ψ² + 8·ΔL²·I²)), ΔL = Lq − Ld",
    conventions=(_AMPLITUDE, "angle of the current from the d axis"),
    source="PMSM torque equation (seen in a published motor block); checked with motulator 0.5.0",
    traps=(
        ("Power-invariant dq values are √1.5 larger and take no 3/2: mixing the two costs a factor "
        "of 1.22 or 1.5."),
        "Saturation lowers Lq under load: the reluctance part is smaller than computed.",
    ),
    curve=Curve("q_current", ("torque",), 0, 500),
    example=Example({**_EXAMPLE, "d_current": "-100 A", "q_current": "300 A"},
                    {"torque": "51.7500 Nm", "magnet_torque": "45.00 Nm"}, "motulator 0.5.0"),
)  # fmt: skip
def torque(
    pole_pairs: float,
    flux: float,
    d_inductance: float,
    q_inductance: float,
    d_current: float,
    q_current: float,
) -> Outputs:
    """Add the magnets' and the reluctance torque."""
    scale = 1.5 * pole_pairs
    more = q_inductance - d_inductance
    square = d_current * d_current + q_current * q_current
    best_d = -2.0 * more * square / (flux + math.sqrt(flux * flux + 8.0 * more * more * square))
    best_q = math.sqrt(max(0.0, square - best_d * best_d))
    return {
        "torque": scale * (flux - more * d_current) * q_current,
        "magnet_torque": scale * flux * q_current,
        "reluctance_torque": -scale * more * d_current * q_current,
        "amplitude": math.sqrt(square),
        "best_torque": scale * (flux - more * best_d) * best_q,
        "best_angle": math.atan2(best_q, best_d),
    }


@calculator(
    name="base-speed",
    topic="motor",
    title="Speed at which the voltage is used up",
    inputs=(
        *_MOTOR,
        _VOLTAGE,
        _WAY,
        Input("d_current", "A_pk", "current along d", default=0, low=-1000, high=0),
        Input("q_current", "A_pk", "current across, q", default=0, at_least=0, high=1000),
        Input("phase_resistance", "mΩ", "phase resistance, star-equivalent", at_least=0, default=0,
              high=100),
    ),
    outputs=(
        Output("no_load_speed", "r/min", "without current"),
        Output("base_speed", "r/min", "at this current"),
        Output("voltage_limit", "V", "largest peak phase voltage"),
    ),
    formula="|R·i + jω·ψ_s| = U_lim; U_lim = U/2 (sine-triangle), U/√3 (space-vector), 2·U/π "
    "(six-step)",
    conventions=(_AMPLITUDE, "motoring"),
    source="Voltage equation of the PMSM; limits checked with motulator 0.5.0",
    traps=(
        ("Kv times the d.c. voltage is the no-load speed of space-vector modulation only; "
        "sine-triangle ends 13 % below."),
        "Sag lowers the voltage just when the current is high: take the loaded voltage.",
    ),
    cautions=(NO_PERMISSION,),
    curve=Curve("q_current", ("base_speed",), 0, 500),
    example=Example(
        {**_EXAMPLE, "voltage": "72 V"}, {"no_load_speed": "3969.568 r/min"}, "motulator 0.5.0"
    ),
)  # fmt: skip
def base_speed(  # noqa: PLR0913, PLR0917  one argument per declared input
    pole_pairs: float,
    flux: float,
    d_inductance: float,
    q_inductance: float,
    voltage: float,
    modulation: str,
    d_current: float,
    q_current: float,
    phase_resistance: float,
) -> Outputs:
    """Solve the voltage circle for the electrical speed."""
    limit = MODULATION[modulation] * voltage
    d_flux, q_flux = flux + d_inductance * d_current, q_inductance * q_current
    a = d_flux * d_flux + q_flux * q_flux
    b = phase_resistance * (q_current * d_flux - d_current * q_flux)
    drop = phase_resistance * math.hypot(d_current, q_current)
    c = limit * limit - drop * drop
    if c <= 0:
        raise CalculationError(
            f"base-speed: the resistance alone drops {drop:.4g} V of the {limit:.4g} V there are.",
            "Check current and resistance.",
        )
    if a == 0:
        raise CalculationError("base-speed: this current cancels the whole flux; no speed ends it.")
    electrical = c / (b + math.sqrt(b * b + a * c))
    return {
        "no_load_speed": limit / flux / pole_pairs,
        "base_speed": electrical / pole_pairs,
        "voltage_limit": limit,
    }


@calculator(
    name="field-weakening",
    topic="motor",
    title="Field-weakening current for a speed",
    inputs=(
        *_MOTOR,
        _VOLTAGE,
        _WAY,
        Input("motor_speed", "r/min", "motor speed", above=0, low=500, high=15000),
        Input("q_current", "A_pk", "torque current, q", at_least=0, default=0, high=1000),
    ),
    outputs=(
        Output("d_current", "A_pk", "field-weakening current, d"),
        Output("amplitude", "A_pk", "whole current, peak"),
        Output("characteristic_current", "A_pk", "current that cancels the magnets"),
        Output("weakening", "", "field weakening is needed", kind="truth"),
    ),
    formula="id = (−ψ + √((U_lim/ω)² − (Lq·iq)²))/Ld, not above zero; I_ch = ψ/Ld",
    conventions=(_AMPLITUDE, "resistance neglected"),
    source="Voltage circle of the PMSM; checked with motulator 0.5.0",
    traps=(
        ("When the inverter stops while weakening, the back-EMF of that speed reaches the "
        "capacitors: see overspeed-voltage."),
        "The weakening current heats the motor and gives no torque of its own.",
    ),
    cautions=(NO_PERMISSION, "Too much negative d current demagnetises hot magnets for good."),
    curve=Curve("motor_speed", ("d_current", "amplitude"), 1000, 9000),
    example=Example(
        {**_EXAMPLE, "voltage": "72 V", "motor_speed": "6000 r/min", "q_current": "100 A"},
        {"d_current": "-171.67268 A_pk", "characteristic_current": "333.3333 A_pk"},
        "motulator 0.5.0 (flux times speed is 72 V/√3)",
    ),
)  # fmt: skip
def field_weakening(  # noqa: PLR0913, PLR0917  one argument per declared input
    pole_pairs: float,
    flux: float,
    d_inductance: float,
    q_inductance: float,
    voltage: float,
    modulation: str,
    motor_speed: float,
    q_current: float,
) -> Outputs:
    """Put the flux onto the voltage circle."""
    allowed = MODULATION[modulation] * voltage / (motor_speed * pole_pairs)
    q_flux = q_inductance * q_current
    if q_flux > allowed:
        raise CalculationError(
            f"field-weakening: at this speed {allowed / q_inductance:.4g} A is the most torque"
            f" current there is; {q_current:g} A cannot flow.",
            "Give a smaller torque current or speed.",
        )
    d_current = (math.sqrt(allowed * allowed - q_flux * q_flux) - flux) / d_inductance
    needed = d_current < 0.0
    d_current = d_current if needed else 0.0
    return {
        "d_current": d_current,
        "amplitude": math.hypot(d_current, q_current),
        "characteristic_current": flux / d_inductance,
        "weakening": needed,
    }
