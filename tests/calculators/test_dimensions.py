"""Dimensions and units: each output has the dimension declared, whatever units are typed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators import catalogue
from commission.calculators.typed import compute_typed
from commission.errors import CalculationError
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.calculators.base import Answer, Calculator, Value

ALL = pytest.mark.parametrize("declared", catalogue.all_calculators(), ids=lambda each: each.name)
CONSTANTS = {
    "pack-voltage": ("cell limits in V, class B from 60 V", {"*"}),
    "c-rate": ("the hour of a C-rate", {"c_rate"}),
    "wire-gauge": (
        "0.127 mm of AWG 36, resistivity",
        {"diameter", "area", "per_length", "resistance"},
    ),
    "copper-temperature": ("zero of degC, 0.004/K", {"resistance_at", "factor", "cable_factor"}),
    "cable-short-circuit": ("heat capacity and resistivity of copper", {"least_area", "k"}),
    "flexible-cable": ("table in Ω/km", {"per_length", "resistance"}),
    "voltage-drop": ("table in Ω/km, zero of degC", {"drop", "loss", "resistance"}),
    "discharge-time": ("0.2 J", {"low_energy_voltage"}),
    "winding-temperature": ("zero of degC", {"temperature"}),
    "phase-resistance": ("zero of degC", {"at_20"}),
    "gradeability": ("gravity", {"gradient", "angle"}),
    "platinum-sensor": ("zero of degC, coefficients", {"sensor_temperature", "tolerance"}),
    "silicon-sensor": ("table in Ω", {"*"}),
    "ntc-beta": ("298.15 K", {"sensor_resistance"}),
    "ntc-steinhart-hart": ("logarithm of Ω", {"sensor_temperature", "a", "b", "c"}),
    "sensor-at-ambient": ("curves in Ω", {"expected", "allowed", "deviation"}),
    "voltage-class": ("60 V, 240 W", set()),
    "isolation-resistance": ("Ω per V by rule", {"required", "per_volt", "fault_current"}),
}
"""Calculators whose formula holds a constant with a dimension, and the numbers it enters."""
OTHER_UNITS = {
    "V": "mV", "kV": "V", "A": "mA", "W": "mW", "kW": "W", "mΩ": "Ω", "Ω": "kΩ", "kΩ": "Ω",
    "Ω/km": "ohm/kft", "uF": "mF", "uH": "mH", "s": "ms", "m": "ft", "mm": "in", "in": "mm",
    "km/h": "mph", "kg": "lb", "N": "lbf", "Nm": "lbf*ft", "degC": "K", "Ah": "mAh", "Wh": "kJ",
    "Wh/km": "N", "deg": "rad", "r/min": "rad/s", "Hz": "kHz", "A_pk": "mA", "A_rms": "mA",
    "Wb": "mWb", "r/min/V": "rad/s/V", "V/krpm": "V*s", "Nm/A_rms": "lbf*ft/A", "m/s2": "ft/s**2",
    "mV": "V", "A2s": "kA**2*s", "mm2": "cmil", "K": "mK", "%": "ppm", "%/K": "ppm/K",
    "N*h**2/km**2": "kg/m", "m**2": "ft**2", "kg/m**3": "g/cm**3",
}  # fmt: skip
"""Another unit in which each can be typed; whole counts and plain numbers have none."""


def scale(text: str, factors: tuple[float, ...]) -> float:
    """Return by how much a quantity grows where each base unit shrinks by its factor."""
    powers = zip(factors, unit(text).dimension, strict=False)
    return float(math.prod(factor**power for factor, power in powers))


def scaled(declared: Calculator, factors: tuple[float, ...]) -> set[str]:
    """Return the outputs that do not scale as their dimension says; `*` where it refuses.

    Texts and truths that hang on a constant with a dimension may change, and are left out then.
    """
    done = compute_typed(declared.name, declared.example.inputs)
    arguments: list[Value | None] = []
    for each in declared.inputs:
        value, factor = done.inputs.get(each.name), scale(each.unit, factors)
        if isinstance(value, tuple):
            value = tuple(one * factor for one in value)
        arguments.append(value * factor if isinstance(value, float) else value)
    try:
        got = declared.function(*arguments)
    except CalculationError:
        return {"*"}
    wrong = set()
    for output in declared.outputs:
        if output.name in got:
            value, before = got[output.name], done.result.outputs[output.name]
            if isinstance(before, float):
                before *= scale(output.unit, factors)
            free = declared.name in CONSTANTS and not isinstance(before, float)
            if not free and not same(value, before):
                wrong.add(output.name)
    return wrong


def same(one: Answer, other: Answer) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return one == other


@ALL
@settings(max_examples=10, deadline=None)
@given(factors=st.tuples(*[st.floats(0.5, 2)] * 5))
def test_outputs_have_the_dimension_that_is_declared(
    declared: Calculator, factors: tuple[float, ...]
) -> None:
    """In a system of other base units the numbers change by the dimension's power, no more."""
    wrong = scaled(declared, factors)
    if declared.name not in CONSTANTS:
        assert wrong == set()
    elif "*" not in wrong | CONSTANTS[declared.name][1]:
        assert wrong <= CONSTANTS[declared.name][1]


@ALL
def test_constants_with_a_dimension_are_where_they_are_said_to_be(declared: Calculator) -> None:
    _, constants = CONSTANTS.get(declared.name, ("", set()))
    assert scaled(declared, (1.3, 0.7, 1.9, 1.1, 1.6)) == constants


@ALL
def test_result_is_the_same_in_any_unit(declared: Calculator) -> None:
    done = compute_typed(declared.name, declared.example.inputs)
    for each in declared.inputs:
        if each.name not in done.inputs or each.kind == "choice" or not each.unit:
            continue
        if each.kind == "integer" or each.unit in {"cells", "pairs", "teeth"}:
            continue
        other = OTHER_UNITS[each.unit]
        value = done.inputs[each.name]
        numbers = value if isinstance(value, tuple) else (value,)
        retyped = " ".join(f"{unit(other).from_si(float(one)):.15g}" for one in numbers)
        typed = {name: text for name, text in done.typed.items() if name != each.name}
        typed[each.name] = f"{retyped} {other}"
        again = compute_typed(declared.name, typed)
        for name, answer in done.result.outputs.items():
            got = again.result.outputs[name]
            if isinstance(answer, float):
                assert got == pytest.approx(answer, rel=1e-8, abs=1e-9), (each.name, other, name)
            else:
                assert got == answer, (each.name, other, name)


def test_every_dimension_has_another_unit_to_type() -> None:
    for text, other in OTHER_UNITS.items():
        assert unit(text).dimension == unit(other).dimension, text
