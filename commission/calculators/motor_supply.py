"""Motor and pack: the battery current of a motor's work, and its voltage when it is over-run."""

from __future__ import annotations

from commission.calculators.base import (
    ABSOLUTE_ZERO,
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
    name="battery-current",
    topic="motor",
    title="Battery current from phase current",
    inputs=(
        Input("voltage", "V", "voltage at the controller", above=0, low=20, high=140),
        Input("phase_current", "A_pk", "phase current, peak", "√2 times the rms value",
              at_least=0, low=10, high=1000),
        Input("torque", "Nm", "motor torque", "negative when braking", optional=True, low=-150,
              high=150),
        Input("motor_speed", "r/min", "motor speed", optional=True, at_least=0, high=15000),
        Input("phase_resistance", "mΩ", "phase resistance, star-equivalent", "half of line to line",
              optional=True, at_least=0, low=1, high=100),
        Input("modulation", "", "phase voltage peak over d.c. voltage", optional=True, at_least=0,
              at_most=0.6667, high=0.6367),
        Input("power_factor", "", "cosine between phase voltage and current", optional=True,
              at_least=-1, at_most=1),
    ),
    outputs=(
        Output("battery_current", "A", "battery current"),
        Output("power", "W", "power taken from the battery"),
        Output("current_ratio", "", "battery current over phase current, peak"),
    ),
    formula="power balance: U·I = T·ω + 1.5·R·I_pk²; or I = 1.5·m·I_pk·cos φ, m = u_pk / U",
    conventions=("battery current positive on discharge", "phase current in A peak",
                 "amplitude-invariant: factor 3/2", "controller losses not counted"),
    source="Power balance of a loss-free inverter; checked against an independent inverter model",
    traps=(
        ("Battery current is not phase current: at low speed 316 A peak in the phases can be 156 A "
        "from the battery, and a sound drive is no fault."),
        "Duty times phase current holds for a d.c. motor only.",
        "A factor of 3 with peak values doubles the power; 3/2 belongs to peak values.",
    ),
    cautions=(NO_PERMISSION,),
    one_of=(("torque", "motor_speed", "phase_resistance"), ("modulation", "power_factor")),
    curve=Curve("motor_speed", ("battery_current",), 0, 6000),
    example=Example(
        {"voltage": "72 V", "phase_current": "316.228 A", "torque": "51.75 Nm",
         "motor_speed": "1909.86 r/min", "phase_resistance": "6 mΩ"},
        {"power": "11250 W", "battery_current": "156.25 A"},
    ),
)  # fmt: skip
def battery_current(
    voltage: float,
    phase_current: float,
    torque: float | None,
    motor_speed: float | None,
    phase_resistance: float | None,
    modulation: float | None,
    power_factor: float | None,
) -> Outputs:
    """Balance the powers, by mechanics or by modulation."""
    if torque is not None and motor_speed is not None and phase_resistance is not None:
        copper = 1.5 * phase_resistance * phase_current * phase_current
        drawn = (torque * motor_speed + copper) / voltage
    else:
        drawn = 1.5 * (modulation or 0.0) * phase_current * (power_factor or 0.0)
    return {
        "battery_current": drawn,
        "power": drawn * voltage,
        "current_ratio": abs(drawn) / phase_current if phase_current else 0.0,
    }


@calculator(
    name="overspeed-voltage",
    topic="motor",
    title="Voltage of an over-run motor against the controller's rating",
    inputs=(
        Input("kv", "r/min/V", "speed constant", "r/min per volt peak line to line, no load",
              above=0, low=10, high=300),
        Input("motor_speed", "r/min", "highest motor speed", "over-run: downhill, chain off; not "
              "the speed limit", at_least=0, low=1000, high=15000),
        Input("rating", "V", "highest voltage the controller bears", "the smallest of all on "
              "its bus", above=0, low=30, high=200),
        Input("magnet_temperature", "degC", "coldest magnet", above=ABSOLUTE_ZERO, default=-20,
              low=-40, high=180),
        Input("reference_temperature", "degC", "magnet temperature of the speed constant",
              above=ABSOLUTE_ZERO, default=20, low=0, high=120),
        Input("coefficient", "%/K", "change of the magnet's flux per kelvin", "-0.11 for NdFeB, "
              "-0.19 for ferrite", at_least=-0.3, at_most=0, default=-0.11, low=-0.2, high=-0.02),
    ),
    outputs=(
        Output("voltage", "V", "peak line-to-line voltage, cold magnet"),
        Output("reference_voltage", "V", "the same at the reference temperature"),
        Output("largest_speed", "r/min", "speed at which the rating is reached, cold magnet"),
        Output("margin", "V", "rating less voltage"),
        Output("within", "", "the rating is not exceeded", kind="truth"),
    ),
    formula="U_LL,pk = n / Kv · (1 + a·(t_magnet − t_ref))",
    conventions=("Kv in r/min per volt peak line to line, no load",),
    source="Uncontrolled-generator operation: Jahns and Caliskan, IEEE Trans. Ind. Appl. 35, 1999 "
    "(from memory); magnet coefficients seen in a servo motor manual",
    traps=(
        ("Above the base speed field weakening holds this voltage down; when the inverter stops, "
        "its diodes put all of it onto the capacitors."),
        "Take the cold magnet: at -25 °C the voltage is 5 % above that at 20 °C.",
        "Take the over-run speed, not the speed limit: nothing limits a bike downhill.",
        "Kv from rms volts is √2 larger, from peak phase volts √3 larger: both look safe.",
    ),
    cautions=(NO_PERMISSION, "An over-voltage destroys the controller while it is braking you."),
    curve=Curve("motor_speed", ("voltage", "reference_voltage"), 0, 10000),
    example=Example(
        {"kv": "60 r/min/V", "motor_speed": "7000 r/min", "rating": "100 V",
         "magnet_temperature": "20 degC"},
        {"voltage": "116.667 V", "largest_speed": "6000.0 r/min"},
        "open-circuit voltage of an independent machine model",
    ),
)  # fmt: skip
def overspeed_voltage(
    kv: float,
    motor_speed: float,
    rating: float,
    magnet_temperature: float,
    reference_temperature: float,
    coefficient: float,
) -> Outputs:
    """Scale the back-EMF by speed and by the magnet's temperature."""
    stronger = 1.0 + coefficient * (magnet_temperature - reference_temperature)
    if stronger <= 0:
        raise CalculationError(
            "overspeed-voltage: at this magnet temperature the linear coefficient leaves no flux.",
            "It holds near room temperature; give the coldest the magnet gets.",
        )
    reference = motor_speed / kv
    voltage = reference * stronger
    return {
        "voltage": voltage,
        "reference_voltage": reference,
        "largest_speed": rating * kv / stronger,
        "margin": rating - voltage,
        "within": voltage <= rating,
    }
