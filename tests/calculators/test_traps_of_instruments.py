"""Traps of levers, temperature sensors and metrology that the naive formula fails."""

from __future__ import annotations

import math
from typing import Any

import pytest

from commission.calculators.typed import compute_typed
from commission.quantities import unit


def outputs(name: str, **typed: str) -> dict[str, Any]:
    """Return a calculator's outputs in their declared units."""
    done = compute_typed(name, typed)
    return {
        each.name: unit(each.unit).from_si(value) if isinstance(value, float) else value
        for each in done.calculator.outputs
        if (value := done.result.outputs.get(each.name)) is not None
    }


def test_without_a_dead_band_a_worn_lever_creeps() -> None:
    typed = {"rest": "0.86", "full": "4.19", "reading": "0.90"}
    assert outputs("lever-window", **typed, dead_low="0")["demand"] > 0.0
    assert outputs("lever-window", **typed)["demand"] == 0.0


def test_a_window_wider_than_the_lever_never_gives_full_demand() -> None:
    typed = {"rest": "0.86", "full": "4.19", "reading": "4.15"}
    assert outputs("lever-window", **typed, dead_high="0")["demand"] < 100.0
    assert outputs("lever-window", **typed)["demand"] == pytest.approx(100.0)


def test_limits_inside_the_levers_travel_stop_a_healthy_bike() -> None:
    got = outputs("lever-faults", rest="0.86", full="4.19", low_limit="0.9", high_limit="4.1")
    assert got["margin_low"] < 0.0
    assert got["margin_high"] < 0.0


def test_the_american_platinum_curve_is_another_one() -> None:
    """The mean coefficient from 0 to 100 °C is 0.00385 by IEC 60751, 0.003916 by the other."""
    got = outputs("platinum-sensor", at_zero="100", temperature="100")["sensor_resistance"]
    assert got / 100 - 1 == pytest.approx(0.00385 * 100, abs=1e-4)
    read = outputs("platinum-sensor", at_zero="100", resistance=f"{100 * (1 + 0.3916)}")
    assert read["sensor_temperature"] > 101.5


THERMISTOR = {"t1": "0", "r1": "27445", "t2": "25", "r2": "10000", "t3": "50", "r3": "4160"}


def test_points_close_together_fit_the_noise() -> None:
    """A hundredth of a per cent of noise on the middle point, read at 80 °C."""

    def ohms(celsius: float) -> float:
        got = outputs("ntc-steinhart-hart", **THERMISTOR, temperature=str(celsius))
        return float(got["sensor_resistance"])

    def error(points: tuple[float, float, float]) -> float:
        typed = {f"t{place}": str(celsius) for place, celsius in enumerate(points, 1)}
        typed |= {f"r{place}": str(ohms(celsius)) for place, celsius in enumerate(points, 1)}
        typed["r2"] = str(ohms(points[1]) * 1.0001)
        read = outputs("ntc-steinhart-hart", **typed, resistance=str(ohms(80)))
        return abs(float(read["sensor_temperature"]) - 80)

    assert error((20, 25, 30)) > 10 * error((0, 40, 80))


def test_the_b_value_is_no_constant() -> None:
    """A published 10 kΩ table: 0, 25 and 85 °C."""
    typed = {"t1": "0", "r1": "27672", "t2": "25", "r2": "10000", "t3": "85", "r3": "1458"}
    got = outputs("ntc-steinhart-hart", **typed, resistance="6000")
    assert got["beta_23"] - got["beta_12"] > 100


def test_the_same_ohms_are_two_sensors_twelve_kelvin_apart() -> None:
    mild, warm = (
        outputs("sensor-at-ambient", resistance="1097", ambient=each, uncertainty="1")["kind"]
        for each in ("25", "37")
    )
    assert (mild, warm) == ("Pt1000", "KTY81-1")


def test_per_cent_of_range_is_not_per_cent_of_reading() -> None:
    typed = {"reading": "10", "counts": "0", "resolution": "0.1"}
    of_reading = outputs("meter-accuracy", **typed, percent="1")
    of_range = outputs("meter-accuracy", **typed, percent="0", range_percent="1", range_end="60")
    assert of_range["accuracy"] == pytest.approx(6 * of_reading["accuracy"])


def test_many_readings_need_two_point_eight_deviations() -> None:
    readings = " ".join(str(1 + 0.1 * (place % 2)) for place in range(600))
    got = outputs("repeatability", readings=readings)
    assert got["limit"] / got["deviation"] == pytest.approx(1.96 * math.sqrt(2), abs=0.01)


def test_angles_do_not_belong_in_the_repeatability_of_numbers() -> None:
    as_numbers = outputs("repeatability", readings="359 1")
    as_angles = outputs("sensor-spread", angles="359 1")
    assert as_numbers["mean"] == pytest.approx(180.0)
    assert math.cos(math.radians(as_angles["mean"])) == pytest.approx(1.0)
    assert as_numbers["deviation"] > 100 * as_angles["spread"]


def test_not_proven_is_not_rejected() -> None:
    typed = {"nominal": "0", "tolerance": "1", "reading": "1.05"}
    unsure = outputs("guard-band", **typed, expanded="0.1")
    sure = outputs("guard-band", **typed, expanded="0.02")
    assert (unsure["verdict"], sure["verdict"]) == ("not proven", "not conforming")
