"""Traps of driveline, levers, sensors, metrology and safety that the naive formula fails."""

from __future__ import annotations

import math
from typing import Any

import pytest

from commission.calculators.typed import compute_typed
from commission.errors import CalculationError
from commission.quantities import unit


def outputs(name: str, **typed: str) -> dict[str, Any]:
    """Return a calculator's outputs in their declared units."""
    done = compute_typed(name, typed)
    return {
        each.name: unit(each.unit).from_si(value) if isinstance(value, float) else value
        for each in done.calculator.outputs
        if (value := done.result.outputs.get(each.name)) is not None
    }


def number(name: str, output: str, **typed: str) -> float:
    value = outputs(name, **typed)[output]
    assert isinstance(value, float)
    return value


def test_radians_in_revolutions_do_not_enter_the_speed() -> None:
    got = number("wheel-speed", "road_speed", motor_speed="2200", ratio="2.611", rollout="2.2343")
    assert got / 1.609344 == pytest.approx(70.19, abs=0.01)


def test_speed_divides_by_the_ratio() -> None:
    """A web calculator multiplies by it and prints 45.24 for 76.50 mph."""
    got = compute_typed(
        "wheel-speed", {"motor_speed": "3000", "ratio": "3.5", "rollout": f"{30 * math.pi} in"}
    )
    assert float(got.result.outputs["road_speed"]) / 0.44704 == pytest.approx(76.50, abs=0.01)


def test_loaded_tyre_rolls_less_than_pi_times_its_diameter() -> None:
    got = outputs("tyre-size", width="90", aspect="90", rim="21")
    assert got["rolling_least"] < got["rolling_most"] < got["circumference"]


def test_slope_is_a_tangent_and_its_force_a_sine() -> None:
    got = outputs("gradeability", thrust="1000", mass="250", rolling="0")
    share = 1000 / (250 * 9.80665)
    assert float(got["gradient"]) / 100 == pytest.approx(math.tan(math.asin(share)))
    assert float(got["gradient"]) / 100 > 1.08 * share


def test_rolling_resistance_on_a_slope_counts_its_cosine() -> None:
    """Sin α = F/mg − c alone would read 6.467 % for this bike."""
    got = number("gradeability", "gradient", thrust="3510", mass="4500", rolling="0.015")
    assert got == pytest.approx(6.4704, abs=1e-4)


def test_chain_has_an_even_number_of_links() -> None:
    got = outputs("chain-length", driving_teeth="13", driven_teeth="48", distance="560")
    assert float(got["links"]) % 2 == 0.0
    assert got["links"] >= got["exact"]


def test_open_ground_reads_full_throttle_unless_a_high_limit_catches_it() -> None:
    got = outputs("lever-faults", rest="0.86", full="4.19", high_limit="5.0")
    assert got["ground_open"] is False
    assert got["supply_open"] is True
    assert got["all_detected"] is False


def test_pull_up_turns_an_open_signal_into_full_throttle() -> None:
    got = outputs("lever-faults", rest="0.86", full="4.19", high_limit="5.0", pull="up")
    assert got["signal_open"] is False


def test_channels_are_compared_in_travel_not_in_volts() -> None:
    got = outputs(
        "lever-pair", first="2.5", first_rest="0.5", first_full="4.5", second="3.0",
        second_rest="4.0", second_full="2.0",
    )  # fmt: skip
    assert got["difference"] == pytest.approx(0.0, abs=1e-9)


def test_three_definitions_of_linearity_give_three_numbers() -> None:
    got = outputs("lever-linearity", travel="0 25 50 75 100", voltage="0.8 1.7 2.6 3.4 4.2")
    shares = [float(got[each]) for each in ("independent", "least_squares", "terminal")]
    assert shares[0] < shares[1] < shares[2]


def test_old_scale_of_platinum_is_not_ours() -> None:
    got = number("platinum-sensor", "sensor_resistance", at_zero="100", temperature="100 degC")
    assert round(got, 2) == 138.51


def test_leads_read_a_kelvin_on_a_pt100_and_a_tenth_on_a_pt1000() -> None:
    for at_zero, kelvin in (("100", 1.0), ("1000", 0.1)):
        got = number(
            "platinum-sensor", "lead_error", at_zero=at_zero, temperature="20 degC", leads="0.39"
        )
        assert got == pytest.approx(kelvin, abs=0.01)


def test_wrong_silicon_or_platinum_choice_reads_more_than_a_hundred_kelvin_wrong() -> None:
    """A KTY84 at 25 °C taken for a Pt1000, and the other way round."""
    cold = number("platinum-sensor", "sensor_temperature", resistance="603 Ω")
    hot = number("silicon-sensor", "sensor_temperature", resistance="1097.35 Ω")
    assert cold < 25 - 100
    assert hot > 25 + 85


def test_square_alone_reads_a_hot_silicon_sensor_too_cool() -> None:
    """2211 and 4280 Ω at 150 °C are published; the square without its bend reads them cooler."""
    for family, at_25, hot, low in (("KTY81-1", 1000, 2211, 5), ("KTY81-2", 2000, 4280, 11)):
        ohms = f"{hot} Ω"
        got = number("silicon-sensor", "sensor_temperature", family=family, resistance=ohms)
        assert got == pytest.approx(150.0, abs=0.1)
        square = 7.874e-3**2 - 4 * 1.874e-5 * (1 - hot / at_25)
        naive = 25 + (math.sqrt(square) - 7.874e-3) / (2 * 1.874e-5)
        assert naive == pytest.approx(150.0 - low, abs=0.7)


def test_kelvin_and_not_celsius_enter_the_ntc_equation() -> None:
    got = number("ntc-beta", "sensor_resistance", at_25="10000", beta="3435", temperature="0 degC")
    assert got == pytest.approx(28704, abs=1)


def test_beta_holds_only_near_its_two_temperatures() -> None:
    table = {"0 degC": 27672.0, "150 degC": 310.0}
    got = {
        t: number("ntc-beta", "sensor_resistance", at_25="10000", beta="3435", temperature=t)
        for t in table
    }
    assert got["0 degC"] / table["0 degC"] - 1 == pytest.approx(0.037, abs=0.001)
    assert got["150 degC"] / table["150 degC"] - 1 > 0.05


def test_counts_grow_tenfold_with_the_range() -> None:
    near, far = (
        number("meter-accuracy", "accuracy", reading="2", percent="0", counts="2", resolution=each)
        for each in ("0.001", "0.01")
    )
    assert far == pytest.approx(10 * near)


def test_last_digit_of_large_readings_is_not_lost() -> None:
    """NIST StRD NumAcc4: 500 pairs of .1 and .3 after one .2; the naive sum of squares fails."""
    readings = [10000000.2] + [10000000.1, 10000000.3] * 500
    got = outputs("repeatability", readings=" ".join(map(str, readings)))
    assert got["mean"] == pytest.approx(10000000.2, abs=1e-8)
    assert got["deviation"] == pytest.approx(0.1, rel=1e-8)
    naive = (math.fsum(x * x for x in readings) - 1001 * 10000000.2**2) / 1000
    assert math.sqrt(abs(naive)) != pytest.approx(0.1, rel=1e-3)


def test_small_series_need_more_than_two_point_eight_deviations() -> None:
    got = outputs("repeatability", readings="1 2 3 4 5")
    assert float(got["limit"]) / float(got["deviation"]) == pytest.approx(2.776 * 2**0.5, abs=1e-3)


def test_inside_the_tolerance_is_not_proven_inside() -> None:
    got = outputs("guard-band", nominal="0", tolerance="1", reading="1", expanded="0.1")
    assert got["simple"] is True
    assert got["verdict"] == "not proven"
    assert got["probability"] == pytest.approx(50.0)


def test_road_load_is_taken_off_what_comes_back() -> None:
    typed = {"mass": "200", "speed": "60 km/h", "deceleration": "1.5", "voltage": "84"}
    without = number("regen-power", "current", **typed)
    assert number("regen-power", "current", **typed, road_load="99.41") < 0.7 * without


def test_twice_the_speed_is_four_times_the_distance() -> None:
    distances = [
        number("braking-distance", "braking", speed=v, deceleration="6") for v in ("30", "60")
    ]
    assert distances[1] == pytest.approx(4 * distances[0])


def test_sixty_volts_is_not_above_sixty_volts() -> None:
    assert outputs("pack-voltage", series="15", full="4.0 V")["class_b"] is False
    assert outputs("voltage-class", voltage="60000 mV", resistance="50")["class_b"] is False


def test_small_pack_below_class_b_still_burns() -> None:
    got = outputs("voltage-class", voltage="54.6", resistance="40")
    assert (got["class_b"], got["thermal_hazard"]) == (False, True)


def test_combined_bus_asks_five_times_the_isolation_of_a_separate_one() -> None:
    separate, combined = (
        number("isolation-resistance", "required", voltage="84", topology=each)
        for each in ("dc-separate", "combined")
    )
    assert combined == pytest.approx(5 * separate)


def test_too_little_current_proves_no_bond() -> None:
    with pytest.raises(CalculationError, match=r"at least 0\.2 A"):
        outputs("bonding", current="0.1", drop="1")


def test_a_per_cent_of_range_without_a_range_is_refused_and_not_nothing() -> None:
    given = {"reading": "120", "percent": "1", "counts": "3", "resolution": "0.1"}
    with pytest.raises(CalculationError, match="no end of the range"):
        number("meter-accuracy", "accuracy", **given, range_percent="1")
    got = number("meter-accuracy", "accuracy", **given, range_percent="1", range_end="200")
    assert got == pytest.approx(1.5 + 2.0)


def test_no_difference_is_shown_as_none_and_not_as_the_rounding_of_floats() -> None:
    edges = "33 93 153 213 273 333"
    assert number("sector-error", "largest_error", edges=edges, pole_pairs="5") == 0.0
    pair = {"first": "0.3", "first_rest": "0.1", "first_full": "0.9", "second": "0.2",
            "second_rest": "0.1", "second_full": "0.5"}  # fmt: skip
    assert number("lever-pair", "difference", **pair) == 0.0


@pytest.mark.parametrize("turned", ["5 4 6 2 3 1 5 4", "5 5 4 6 2 3 1", "4 6 2 3 1 5 4 6 2"])
def test_more_than_a_turn_by_hand_is_no_disorder(turned: str) -> None:
    got = outputs("sensor-sequence", states=turned)
    assert (got["direction"], got["sound"]) == ("forward", True)
    back = " ".join(reversed(turned.split()))
    assert outputs("sensor-sequence", states=back)["direction"] == "reverse"
    assert outputs("sensor-sequence", states=turned + " 5 4 1")["direction"] == "disordered"
