"""Temperature sensors against their standard tables and two independent libraries."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.practice.build import Thermometry
from commission.practice.physics import sensors

kinds = st.sampled_from(sensors.KINDS)
celsius = st.floats(-39.9, 149.9)


@given(kinds, celsius)
def test_with_the_right_kind_set_the_display_shows_the_truth(kind: str, degrees: float) -> None:
    truth = degrees + 273.15
    shown = sensors.displayed(kind, sensors.resistance(kind, truth))
    assert shown == pytest.approx(truth, abs=1e-6)


@given(kinds, kinds, celsius)
def test_another_kind_always_shows_something_on_the_display(
    fitted: str, chosen: str, degrees: float
) -> None:
    shown = sensors.displayed(chosen, sensors.resistance(fitted, degrees + 273.15))
    assert shown is not None
    assert -40.0 <= shown - 273.15 <= 150.0
    if fitted != chosen and 5 <= degrees <= 30 and {fitted, chosen} != {"Pt1000", "KTY81-1"}:
        assert abs(shown - 273.15 - degrees) > 20.0


@pytest.mark.parametrize(
    ("kind", "degrees", "ohms"),
    [
        # IEC 60751 as printed: 100.00, 107.79, 138.51, 84.27 Ω.
        ("Pt100", 0.0, 100.00), ("Pt100", 20.0, 107.79), ("Pt100", 100.0, 138.51),
        ("Pt100", -40.0, 84.27), ("Pt1000", 20.0, 1077.9),
        # Makers' table of the silicon sensor.
        ("KTY84", 25.0, 603.0), ("KTY84", 100.0, 1000.0), ("KTY81-1", 25.0, 1000.0),
        ("KTY81-1", 100.0, 1696.0), ("KTY81-2", 25.0, 2000.0),
        # Rated resistance of the two NTC.
        ("NTC 10k", 25.0, 10e3), ("NTC 100k", 25.0, 100e3),
    ],
)  # fmt: skip
def test_curves_are_those_of_the_tables(kind: str, degrees: float, ohms: float) -> None:
    assert sensors.resistance(kind, degrees + 273.15) == pytest.approx(ohms, rel=6e-5)


@pytest.mark.parametrize("degrees", [-40.0, -10.0, 0.0, 21.5, 80.0, 150.0])
def test_platinum_and_ntc_follow_independent_libraries(degrees: float) -> None:
    from rtd_sensor import pt100, pt1000
    from thermistor_utils import Beta_converter

    at = degrees + 273.15
    theirs = {
        "Pt100": pt100.celsius_to_resistance(degrees),
        "Pt1000": pt1000.celsius_to_resistance(degrees),
        "NTC 10k": Beta_converter(3435, 10000, 25).resistance(degrees),
        "NTC 100k": Beta_converter(3950, 100000, 25).resistance(degrees),
    }
    for kind, ohms in theirs.items():
        assert sensors.resistance(kind, at) == pytest.approx(ohms, rel=1e-6)


def test_a_replaced_silicon_sensor_reads_more_than_a_hundred_kelvin_wrong() -> None:
    """The trade's trap: 1097 Ω of platinum read as a silicon sensor that has 603 Ω."""
    shown = sensors.displayed("KTY84", sensors.resistance("Pt1000", 298.15))
    assert shown is not None
    assert shown - 298.15 > 80.0


def test_open_and_shorted_sensors_stand_at_the_ends_of_the_display() -> None:
    opened = sensors.motor_sensor(Thermometry(motor_kind="Pt1000", motor_state="open"), 293.15)
    shorted = sensors.motor_sensor(Thermometry(motor_kind="Pt1000", motor_state="shorted"), 293.15)
    assert (opened, shorted) == (math.inf, 0.0)
    assert sensors.displayed("Pt1000", opened) == pytest.approx(423.15)
    assert sensors.displayed("Pt1000", shorted) == pytest.approx(233.15)
    assert sensors.displayed("NTC 10k", opened) == pytest.approx(233.15)
    assert sensors.displayed("NTC 10k", shorted) == pytest.approx(423.15)
    assert sensors.displayed("none", opened) is None
    assert sensors.resistance("none", 293.15) == math.inf


def test_a_bad_joint_adds_its_ohms() -> None:
    """0.39 Ω a kelvin: 39 Ω beside a Pt100 reads about 100 K too hot."""
    joint = Thermometry(motor_kind="Pt100", motor_extra_resistance=39.0)
    shown = sensors.displayed("Pt100", sensors.motor_sensor(joint, 273.15))
    assert shown is not None
    assert shown - 273.15 == pytest.approx(100.0, abs=3.0)


def test_a_sensor_off_its_curve_by_a_percent_reads_a_kelvin_or_so_wrong() -> None:
    """KTY84 changes by 0.7 % a kelvin near 20 °C (maker's table: 581 to 603 Ω over 5 K)."""
    off = Thermometry(motor_kind="KTY84", motor_sensor_spread=0.01)
    shown = sensors.displayed("KTY84", sensors.motor_sensor(off, 293.15))
    assert shown is not None
    assert shown - 293.15 == pytest.approx(0.01 * 581.0 / 4.4, abs=0.05)
