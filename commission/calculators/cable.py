"""Cables: flexible copper by cross-section, and the voltage a run of it loses."""

from __future__ import annotations

from typing import Final

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

CLASS_5_PLAIN: Final = {
    "0.5": 39.0, "0.75": 26.0, "1": 19.5, "1.5": 13.3, "2.5": 7.98, "4": 4.95, "6": 3.30,
    "10": 1.91, "16": 1.21, "25": 0.780, "35": 0.554, "50": 0.386, "70": 0.272, "95": 0.206,
}  # fmt: skip
"""Largest resistance in Ω/km at 20 °C of plain copper, by nominal mm² (IEC 60228, class 5)."""
CLASS_5_TINNED: Final = {
    "10": 1.95, "16": 1.24, "25": 0.795, "35": 0.565, "50": 0.393, "70": 0.277,
}  # fmt: skip
RESISTIVITY: Final = 1e-6 / 58.0
"""Ω·m of annealed copper at 20 °C (IEC 60028)."""
COPPER_OFFSET: Final = 234.5
"""K: copper's resistance is in proportion to (234.5 + t), t in degC (IEC 60028's coefficient)."""
_AREAS: Final = tuple(CLASS_5_PLAIN)


def copper_factor(temperature: float) -> float:
    """Return R(T)/R(20 °C) of copper at `temperature` in K."""
    return (COPPER_OFFSET + temperature + ABSOLUTE_ZERO) / (COPPER_OFFSET + 20.0)


@calculator(
    name="flexible-cable",
    topic="wiring",
    title="Resistance of flexible cable",
    inputs=(
        Input("area", "", "nominal cross-section in mm²", kind="choice", choices=_AREAS),
        Input("surface", "", "surface of the wires", kind="choice", choices=("plain", "tinned"),
              default="plain"),
        Input("length", "m", "length of one conductor", above=0, default=1, high=50),
    ),
    outputs=(
        Output("per_length", "Ω/km", "largest resistance per length at 20 °C"),
        Output("resistance", "mΩ", "largest resistance of the length at 20 °C"),
        Output("above_solid", "%", "more than a solid conductor of that cross-section"),
    ),
    formula="R = R' · l, R' from the table; solid conductor: R' = 1 / (58 S/mm · A)",
    conventions=("20 °C; the standard gives the largest permitted resistance",),
    source="IEC 60228 class 5 (table seen on three agreeing pages)",
    traps=(
        "ρ/A reads 9 to 12 % low for flexible cable above 6 mm².",
        "A table headed 'minimum resistance' means the maximum.",
    ),
    cautions=(NO_PERMISSION,),
    example=Example({"area": "25", "length": "2.4 m"},
                    {"per_length": "0.780 Ω/km", "resistance": "1.872 mΩ"}),
)  # fmt: skip
def flexible_cable(area: str, surface: str, length: float) -> Outputs:
    """Look the cross-section up."""
    per_length = class_5(area, surface)
    solid = RESISTIVITY / (float(area) * 1e-6)
    return {
        "per_length": per_length,
        "resistance": per_length * length,
        "above_solid": per_length / solid - 1.0,
    }


def class_5(area: str, surface: str = "plain") -> float:
    """Return the largest resistance in Ω/m at 20 °C; refuse a cross-section not in the table."""
    table = CLASS_5_PLAIN if surface == "plain" else CLASS_5_TINNED
    if area not in table:
        raise CalculationError(
            f"The table has no {surface} cable of {area} mm².",
            f"It has {', '.join(table)} mm².",
        )
    return table[area] * 1e-3


@calculator(
    name="voltage-drop",
    topic="wiring",
    title="Voltage drop and loss in a cable run",
    inputs=(
        Input("current", "A", "current", at_least=0, low=1, high=600),
        Input("loop_length", "m", "length of both conductors together", "out and back: twice the "
              "run", above=0, low=0.2, high=10),
        Input("area", "", "nominal cross-section in mm²", "flexible copper, class 5", kind="choice",
              choices=_AREAS, optional=True),
        Input("per_length", "Ω/km", "resistance per length at 20 °C", "for any other cable",
              optional=True, above=0, low=0.05, high=100),
        Input("temperature", "degC", "temperature of the conductor", at_least=-60, at_most=400,
              default=70, low=-20, high=105),
    ),
    outputs=(
        Output("drop", "V", "voltage lost in both conductors"),
        Output("loss", "W", "heat in both conductors"),
        Output("resistance", "mΩ", "resistance of both conductors, warm"),
    ),
    formula="ΔU = I·R; P = I²·R; R = R'20 · l_loop · (234.5 + t) / 254.5",
    conventions=("l_loop counts both conductors", "copper constant 234.5 (α20 = 0.00393/K)"),
    source="Ohm's law; IEC 60228 class 5 (seen); IEC 60028 temperature coefficient (seen)",
    traps=(
        "The one-way length gives half the drop.",
        "The table is for 20 °C; at 70 °C copper has 20 % more.",
    ),
    cautions=(NO_PERMISSION, "A small drop does not make a cable cool enough: check its ampacity."),
    one_of=(("area",), ("per_length",)),
    curve=Curve("current", ("drop", "loss"), 0, 400),
    example=Example(
        {"current": "150 A", "loop_length": "2.4 m", "area": "16"},
        {"drop": "0.5212 V", "loss": "78.2 W"},
    ),
)  # fmt: skip
def voltage_drop(
    current: float,
    loop_length: float,
    area: str | None,
    per_length: float | None,
    temperature: float,
) -> Outputs:
    """Warm the cable's resistance, then apply Ohm's law to both conductors."""
    cold = class_5(area) if area is not None else per_length or 0.0
    resistance = cold * loop_length * copper_factor(temperature)
    return {
        "drop": current * resistance,
        "loss": current * current * resistance,
        "resistance": resistance,
    }
