"""What people type: units on the fly, strict numbers, the same result in any unit."""

from __future__ import annotations

import pytest

from commission.calculators import catalogue
from commission.calculators.typed import compute_typed, show_answer, show_value
from commission.errors import CalculationError


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("wheel-speed", {"speed": "60 km/h", "ratio": "4", "rollout": "2 m"},
         {"speed": "37.28227153424 mph", "ratio": "400 %", "rollout": "78.740157480315 in"}),
        ("voltage-drop", {"current": "150", "loop_length": "2.4", "per_length": "1 Ω/km"},
         {"current": "150000 mA", "loop_length": "240 cm", "per_length": "0.3048 ohm/kft"}),
        ("overspeed-voltage", {"kv": "60", "motor_speed": "7000", "rating": "100",
                               "magnet_temperature": "-20 degC"},
         {"kv": "60 rpm/V", "motor_speed": "116.6666666667 * 2 r/s", "rating": "0.1 kV",
          "magnet_temperature": "253.15 K"}),
        ("precharge", {"voltage": "84", "capacitance": "3 mF", "resistance": "100"},
         {"voltage": "84000 mV", "capacitance": "3000", "resistance": "0.1 kΩ"}),
    ],
    ids=["speed", "cable", "motor", "capacitor"],
)  # fmt: skip
def test_result_does_not_depend_on_the_units_typed(
    name: str, one: dict[str, str], other: dict[str, str]
) -> None:
    if name == "overspeed-voltage":
        other = other | {"motor_speed": "733.0382858376184 rad/s"}
    first, second = (compute_typed(name, typed).result for typed in (one, other))
    for key, value in first.outputs.items():
        if isinstance(value, float):
            assert second.outputs[key] == pytest.approx(value, rel=1e-9, abs=1e-9)
        else:
            assert second.outputs[key] == value


def test_bare_numbers_are_in_the_declared_unit() -> None:
    done = compute_typed("pack-voltage", {"series": "14", "full": "4.2V"})
    assert done.result.outputs["full_voltage"] == pytest.approx(58.8)
    assert done.inputs == {"series": 14.0, "chemistry": "nmc", "full": 4.2}
    assert done.typed == {"series": "14", "full": "4.2V"}


@pytest.mark.parametrize("typed", ["1", "0.5 rad", "359 deg"])
def test_single_angle_is_too_few_but_is_read(typed: str) -> None:
    with pytest.raises(CalculationError, match="has 1 of at least 2"):
        compute_typed("sensor-spread", {"angles": typed})


@pytest.mark.parametrize("typed", ["1 2 3", "1;2;3", "1; 2; 3 deg", "1 2 3 °"])
def test_several_numbers_stand_between_spaces_or_semicolons(typed: str) -> None:
    done = compute_typed("sensor-spread", {"angles": typed})
    assert done.result.outputs["runs"] == 3.0


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("3,5", "comma"),
        ("1, 2, 3", "comma"),
        ("", "Nothing was typed"),
        ("abc", "not a number"),
        ("12 V", "cannot be turned into"),
        ("1e999", "too large"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_input_named(typed: str, message: str) -> None:
    with pytest.raises(CalculationError, match=message) as refusal:
        compute_typed("sensor-spread", {"angles": typed})
    assert refusal.value.message.startswith("sensor-spread: angles: ")


def test_unknown_input_is_refused_with_the_nearest() -> None:
    with pytest.raises(CalculationError, match="no input 'serie'") as refusal:
        compute_typed("pack-voltage", {"serie": "14"})
    assert refusal.value.hint.startswith("Did you mean series")


def test_unknown_choice_is_refused() -> None:
    with pytest.raises(CalculationError, match="one of nmc, lfp"):
        compute_typed("pack-voltage", {"series": "14", "chemistry": "lead"})


def test_answers_and_inputs_are_shown_in_their_units() -> None:
    declared = catalogue.get("sensor-spread")
    done = compute_typed("sensor-spread", {"angles": "359 1"})
    runs, mean = declared.output("runs"), declared.output("range")
    assert show_answer(runs, done.result.outputs["runs"]) == "2"
    assert show_answer(mean, done.result.outputs["range"]) == "2.000 deg"
    assert show_value(declared.input("angles"), done.inputs["angles"]) == "359 1 deg"
    assert show_answer(catalogue.get("bonding").output("passes"), True) == "yes"  # noqa: FBT003


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("sensor-at-ambient", {"resistance": "1097", "ambient": "25", "uncertainty": "2 degC"},
         "10 degC or 18 degF more or less are 10 K"),
        ("sensor-at-ambient", {"resistance": "1097", "ambient": "25", "uncertainty": "3 °F"},
         "10 degC or 18 degF more or less are 10 K"),
        ("ntc-beta", {"at_25": "10 kΩ", "beta": "3435 degC", "temperature": "85"}, "a point"),
        ("wheel-speed", {"motor_speed": "50 Hz", "ratio": "5", "rollout": "2"}, "counts turns"),
        ("electrical-speed", {"pole_pairs": "5", "frequency": "100 rad/s"}, "counts turns"),
        ("electrical-speed", {"pole_pairs": "5", "frequency": "100 r/min"}, "60 r/min are 1 Hz"),
        ("copper-loss", {"current": "100 A_pk", "phase_resistance": "6"}, "√2"),
        ("battery-current", {"voltage": "72", "phase_current": "316 A_rms", "modulation": "0.5",
                             "power_factor": "0.9"}, "√2"),
        ("motor-constants", {"pole_pairs": "5", "kt_rms": "0.1 Nm/A_pk"}, "√2"),
    ],
)  # fmt: skip
def test_a_unit_that_looks_the_same_and_is_not_is_refused_with_what_to_type(
    name: str, typed: dict[str, str], says: str
) -> None:
    with pytest.raises(CalculationError, match="is not taken for") as refused:
        compute_typed(name, typed)
    assert says in refused.value.hint


def test_a_difference_is_typed_in_kelvin_or_as_a_difference_of_degrees() -> None:
    given = {"resistance": "1097", "ambient": "25"}
    kelvin, celsius, fahrenheit = (
        compute_typed("sensor-at-ambient", {**given, "uncertainty": each}).result.outputs["allowed"]
        for each in ("2 K", "2 delta_degC", "3.6 delta_degF")
    )
    assert celsius == pytest.approx(kelvin)
    assert fahrenheit == pytest.approx(kelvin)
    hertz, kilo = (
        compute_typed("electrical-speed", {"pole_pairs": "5", "frequency": each}).result.outputs
        for each in ("100 Hz", "0.1 kHz")
    )
    assert hertz == pytest.approx(kilo)


@pytest.mark.parametrize("typed", ["355,5,15", "355, 5, 15", "1,5 2,5"])
def test_commas_between_numbers_are_refused_with_how_to_separate_them(typed: str) -> None:
    with pytest.raises(CalculationError, match="has a comma") as refused:
        compute_typed("sensor-spread", {"angles": typed})
    assert "Separate numbers by spaces" in refused.value.hint
