"""For every calculator: which way its outputs go with its inputs."""

from __future__ import annotations

from itertools import pairwise

import pytest

from commission.calculators import catalogue
from commission.calculators.catalogue import compute
from commission.calculators.typed import compute_typed

RISING: dict[str, str] = {
    "pack-voltage": "series>full_voltage series>cutoff_voltage",
    "pack-resistance": "light_voltage>resistance heavy_current<resistance",
    "pack-sag": "power>current_drawn power>sag resistance>current_drawn open_voltage<current_drawn",
    "battery-current-limit": "current>power_at_full resistance<power_at_full",
    "c-rate": "current>c_rate capacity<c_rate current<time",
    "charge-limit": "parallel>cell_limited open_voltage<voltage_limited resistance<voltage_limited",
    "pack-energy": "voltage>energy capacity>energy capacity>usable",
    "range": "energy>distance consumption<distance",
    "wire-gauge": "length>resistance",
    "copper-temperature": "resistance>resistance_at temperature<factor",
    "cable-short-circuit": "current>least_area time>least_area time>let_through start<k",
    "flexible-cable": "length>resistance",
    "voltage-drop": "current>drop current>loss loop_length>drop temperature>drop",
    "fuse-rating": "current>least_rating",
    "fuse-pulse": "peak>pulse duration>pulse peak>least_melting",
    "precharge": "voltage>energy capacitance>time resistance>time resistance<peak_current",
    "discharge-time": "voltage>time capacitance>time resistance>time voltage>energy",
    "motor-constants": "kv<ke_si kv<flux_linkage kv<kt_per_peak",
    "electrical-speed": "motor_speed>electrical_frequency motor_speed>electrical_speed",
    "torque": "q_current>torque flux>torque q_current>best_torque",
    "base-speed": "voltage>no_load_speed voltage>base_speed flux<no_load_speed",
    "field-weakening": "motor_speed<d_current voltage>d_current flux>characteristic_current",
    "battery-current": "torque>battery_current motor_speed>power voltage<battery_current",
    "overspeed-voltage": "motor_speed>voltage kv<voltage magnet_temperature<voltage",
    "copper-loss": "current>loss phase_resistance>loss",
    "winding-temperature": "warm_resistance>temperature cold_resistance<temperature",
    "phase-resistance": "ab>star_resistance temperature<at_20",
    "dq-inductance": "bc>q_inductance bc>saliency",
    "reduction": "driven_teeth>ratio driving_teeth<ratio primary>ratio",
    "rollout": "distance>rollout turns<rollout",
    "wheel-speed": "motor_speed>road_speed ratio<road_speed rollout>road_speed",
    "tyre-size": "width>diameter aspect>height rim>circumference",
    "chain-length": "distance>exact driven_teeth>exact pitch<exact",
    "wheel-thrust": "torque>thrust ratio>thrust radius<thrust",
    "gradeability": "thrust>gradient mass<gradient rolling<gradient",
    "road-load": "speed>force speed>power constant>force mass>=force",
    "top-speed": "power>speed constant<speed quadratic<speed",
    "coast-down": "mass>time from_speed>time constant<distance",
    "lever-window": "rest>start reading>travel full<travel",
    "lever-faults": "rest>margin_low full<margin_high",
    "lever-pair": "first>first_travel second>second_travel",
    "platinum-sensor": "resistance>sensor_temperature",
    "silicon-sensor": "resistance>sensor_temperature",
    "ntc-beta": "beta<sensor_resistance temperature<sensor_resistance at_25>sensor_resistance",
    "ntc-steinhart-hart": "resistance<sensor_temperature",
    "sensor-at-ambient": "resistance>deviation uncertainty>allowed ambient>expected",
    "supply-budget": "output_voltage<output_current input_voltage<input_current",
    "fan-power": "power>current voltage<current speed>power_share",
    "meter-accuracy": "reading>accuracy percent>accuracy counts>accuracy resolution>accuracy",
    "repeatability": "probability>factor probability>expanded",
    "combined-uncertainty": "probability>expanded",
    "guard-band": "tolerance>accept_high expanded<accept_high reading<probability",
    "braking-distance": "speed>braking deceleration<braking reaction>thinking",
    "kinetic-energy": "mass>energy speed>energy",
    "regen-power": "speed>battery_power deceleration>current voltage<current",
    "voltage-class": "voltage>arc_power resistance<arc_power voltage>short_circuit_current",
    "isolation-resistance": "voltage>required",
    "bonding": "drop>resistance current<resistance",
}
"""By calculator: `input>output` rises, `<` falls, `>=` does not fall, from its worked example."""
WITHOUT = {
    "lever-linearity", "sensor-sequence", "turning-direction", "sensor-spread", "sector-error",
}  # fmt: skip
"""Nothing in these rises with one number: texts, or statistics of several."""
STEPS = (1.002, 1.005, 1.01)


def test_every_calculator_has_its_law_or_a_reason() -> None:
    assert set(RISING) | WITHOUT == set(catalogue.names())
    assert not set(RISING) & WITHOUT


def _laws() -> list[tuple[str, str]]:
    return [(name, law) for name, laws in RISING.items() for law in laws.split()]


@pytest.mark.parametrize(("name", "law"), _laws())
def test_output_goes_the_way_it_must(name: str, law: str) -> None:
    sign = next(each for each in (">=", ">", "<") if each in law)
    given_name, output = law.split(sign)
    declared = catalogue.get(name)
    inputs = dict(compute_typed(name, declared.example.inputs).inputs)
    start = inputs[given_name]
    assert isinstance(start, float)
    whole = declared.input(given_name).kind == "integer"
    values = []
    for step, factor in enumerate((1.0, *STEPS)):
        amount = start + step if whole else start * factor
        value = compute(name, {**inputs, given_name: amount}).outputs[output]
        assert isinstance(value, float)
        values.append(value if sign != "<" else -value)
    for earlier, later in pairwise(values):
        assert later >= earlier if sign == ">=" else later > earlier
