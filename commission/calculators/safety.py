"""Electrical safety: voltage class and thermal flag, isolation resistance, bonding."""

from __future__ import annotations

from typing import Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator
from commission.calculators.pack import ROUNDING
from commission.errors import CalculationError

LOCAL_CODES: Final = (
    "Local codes and licensed practice come first; this informs, it does not clear."
)
_CLASSES: Final = {"dc": (60.0, 1500.0), "ac": (30.0, 1000.0)}
"""Upper ends of class A and class B in V, a.c. as rms."""
HAZARDOUS_FROM: Final = 2.0
"""Volt; below it a short circuit heats slowly."""
HAZARDOUS_POWER: Final = 240.0
"""Watt (VA); at 2 V or more this is a hazardous energy level in IEC 60950-1 (seen quoted)."""
OHMS_PER_VOLT: Final = {
    "dc-separate": 100.0, "ac-separate": 500.0, "combined": 500.0, "combined-protected": 100.0,
}  # fmt: skip
"""Least isolation per volt of working voltage, by topology of the buses."""


@calculator(
    name="voltage-class",
    topic="safety",
    title="Voltage class, and whether a short circuit burns",
    inputs=(
        Input("voltage", "V", "highest voltage that can occur", "fully charged, no load",
              at_least=0, low=2, high=140),
        Input("current_type", "", "kind of voltage", "a.c. as rms", kind="choice",
              choices=("dc", "ac"), default="dc"),
        Input("resistance", "mΩ", "resistance of the source", "pack and leads", above=0, low=3,
              high=300),
    ),
    outputs=(
        Output("voltage_class", "", "voltage class", kind="text"),
        Output("class_b", "", "above 60 V d.c. or 30 V a.c.", kind="truth"),
        Output("short_circuit_current", "A", "prospective short-circuit current"),
        Output("arc_power", "kW", "largest power an arc or a ring can draw"),
        Output("thermal_hazard", "", "burn hazard: 240 W or more at 2 V or more", kind="truth"),
    ),
    formula="class B: above 60 V d.c. or 30 V a.c. rms, up to 1500 V d.c. or 1000 V a.c.; "
    "I_sc = U / R; P = U² / (4·R)",
    source="ISO 6469-3, UN R100, R136 (class limits, from memory); 240 VA at 2 V: hazardous energy "
    "level of IEC 60950-1 (seen quoted)",
    traps=(
        "Nominal voltage does not decide: a 16-cell pack of 4.2 V cells is 67.2 V when full.",
        ("Below class B is not harmless: the short-circuit power of a small pack still melts a "
        "ring into a finger."),
    ),
    cautions=(
        LOCAL_CODES,
        "At any class take jewellery off and use insulated tools: a short circuit burns.",
    ),
    example=Example(
        {"voltage": "67.2 V", "resistance": "40 mΩ"},
        {"voltage_class": "B", "short_circuit_current": "1680 A", "arc_power": "28.22 kW"},
    ),
)  # fmt: skip
def voltage_class(voltage: float, current_type: str, resistance: float) -> Outputs:
    """Classify by voltage, and apart from it by what a short circuit can deliver."""
    class_a, class_b = _CLASSES[current_type]
    if voltage > class_b:
        raise CalculationError(
            f"voltage-class: {voltage:g} V is above class B, which ends at {class_b:g} V"
            f" {current_type}.",
            "High-voltage plant is outside this tool.",
        )
    power = voltage * voltage / (4.0 * resistance)
    return {
        "voltage_class": "B" if voltage > class_a + ROUNDING else "A",
        "class_b": voltage > class_a + ROUNDING,
        "short_circuit_current": voltage / resistance,
        "arc_power": power,
        "thermal_hazard": voltage >= HAZARDOUS_FROM and power >= HAZARDOUS_POWER,
    }


@calculator(
    name="isolation-resistance",
    topic="safety",
    title="Least isolation resistance, by topology",
    inputs=(
        Input("voltage", "V", "highest working voltage of the bus", above=0, at_most=1500, low=20,
              high=140),
        Input("topology", "", "how the buses are joined", "what each means stands below",
              kind="choice", choices=tuple(OHMS_PER_VOLT)),
        Input("measured", "kΩ", "isolation measured to the frame", optional=True, at_least=0,
              high=1e7),
    ),
    outputs=(
        Output("required", "kΩ", "least isolation resistance"),
        Output("per_volt", "Ω/V", "least isolation per volt"),
        Output("fault_current", "mA", "current through that isolation"),
        Output("passes", "", "the measured isolation suffices", kind="truth", needs="measured"),
    ),
    formula="R = k · U; k = 100 Ω/V for a separate d.c. bus, 500 Ω/V for a.c. and for a combined "
    "bus, 100 Ω/V for a combined bus whose a.c. side is protected",
    conventions=(
        "dc-separate, ac-separate: the d.c. or the a.c. bus alone",
        "combined: d.c. and a.c. joined by conduction, as a controller joins them",
        "combined-protected: so joined, and the a.c. side protected against contact by itself",
    ),
    source="UN R100 (clause text seen); the same in R136 (from memory)",
    traps=(
        ("A controller joins d.c. and a.c. by conduction: the bus is combined, so 500 Ω/V holds "
        "unless the a.c. side is protected. Ask the topology first."),
        "An ordinary ohmmeter tests at a few volts and finds no damaged isolation.",
    ),
    cautions=(LOCAL_CODES, "An isolation tester puts out hundreds of volts and harms electronics."),
    example=Example(
        {"voltage": "84 V", "topology": "combined", "measured": "60 kΩ"},
        {"required": "42.0 kΩ", "fault_current": "2.00 mA"},
    ),
)  # fmt: skip
def isolation_resistance(voltage: float, topology: str, measured: float | None) -> Outputs:
    """Multiply the working voltage by what its topology asks."""
    per_volt = OHMS_PER_VOLT[topology]
    required = per_volt * voltage
    outputs: Outputs = {
        "required": required,
        "per_volt": per_volt,
        "fault_current": 1.0 / per_volt,
    }
    if measured is not None:
        outputs["passes"] = measured >= required
    return outputs


@calculator(
    name="bonding",
    topic="safety",
    title="Bonding resistance from current and voltage drop",
    inputs=(
        Input("current", "A", "test current", "at least 0.2 A: less proves nothing", at_least=0.2,
              high=30),
        Input("drop", "mV", "voltage between the parts, four-wire", at_least=0, high=5000),
        Input("limit", "Ω", "largest resistance", above=0, default=0.1, low=0.001, high=0.1),
    ),
    outputs=(
        Output("resistance", "Ω", "bonding resistance"),
        Output("passes", "", "below the limit", kind="truth"),
    ),
    formula="R = U / I; passes below 0.1 Ω at a current of at least 0.2 A",
    source="UN R100 (clause text seen); R136, ISO 6469-3 (from memory)",
    traps=("Two-wire readings add the leads, often more than 0.1 Ω: sense at the parts.",),
    cautions=(LOCAL_CODES,),
    example=Example({"current": "0.50 A", "drop": "18 mV"}, {"resistance": "0.036 Ω"}),
)  # fmt: skip
def bonding(current: float, drop: float, limit: float) -> Outputs:
    """Divide the drop by the current."""
    resistance = drop / current
    return {"resistance": resistance, "passes": resistance < limit * (1.0 - ROUNDING)}
