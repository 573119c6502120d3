"""Traps of pack, wiring, supply, braking and safety that the naive formula fails."""

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


def test_nominal_of_a_cell_decides_three_per_cent_of_a_pack() -> None:
    low, high = (outputs("pack-voltage", series="20", nominal=cell) for cell in ("3.6", "3.7"))
    assert (low["nominal_voltage"], high["nominal_voltage"]) == pytest.approx((72.0, 74.0))
    assert high["nominal_voltage"] / low["nominal_voltage"] - 1 == pytest.approx(0.028, abs=5e-4)


def test_rate_of_a_cell_is_that_of_its_pack() -> None:
    cell = outputs("c-rate", capacity="4", current="8")
    pack = outputs("c-rate", capacity="32", current="64")
    assert cell["c_rate"] == pack["c_rate"] == 2.0


def test_a_power_level_beyond_the_current_limit_is_never_reached() -> None:
    """About 290 A from a 20-cell pack is 22 to 23 kW (common practice, no source)."""
    got = outputs("battery-current-limit", current="290", cutoff_voltage="60",
                  full_voltage="84", resistance="20")  # fmt: skip
    assert got["power_at_full"] < 25 < 84 * 0.300


def test_full_charge_voltage_overstates_the_energy_by_a_sixth() -> None:
    nominal, full = (outputs("pack-energy", voltage=v, capacity="40") for v in ("72", "84"))
    assert full["energy"] / nominal["energy"] - 1 == pytest.approx(1 / 6)


def test_consumption_at_the_wheel_promises_too_much_range() -> None:
    wheel, battery = (
        outputs("range", energy="2160", consumption=each) for each in ("32", f"{32 / 0.8}")
    )
    assert battery["distance"] == pytest.approx(0.8 * wheel["distance"])


def test_the_factor_of_the_short_circuit_rule_is_no_temperature_offset() -> None:
    """226 as K gives IEC 60949's 115; as an offset it would read copper 0.6 % high at 70 °C."""
    by_factor = 226 * math.sqrt(math.log((234.5 + 160) / (234.5 + 70)))
    k = outputs("cable-short-circuit", current="1000", time="1")["k"]
    assert by_factor == pytest.approx(115.0, abs=0.05)
    assert k == pytest.approx(by_factor, rel=2e-3)
    right = outputs("copper-temperature", resistance="1", temperature="20", target="70")["factor"]
    assert 1.005 * right < (226 + 70) / (226 + 20)


def test_pulse_of_the_horn_trips_what_the_mean_would_pass() -> None:
    got = outputs("supply-budget", loads="35 24", duties="100 10", input_voltage="50")
    assert got["peak_current"] > got["least_rating"] > got["output_current"]


def test_a_pump_starts_with_several_times_its_current() -> None:
    got = outputs("fan-power", power="18")
    assert got["starting_current"] == pytest.approx(4 * got["current"])


def test_the_rules_formula_holds_in_km_h_and_metres_only() -> None:
    """25.92 is 2·3.6²: (48² − 6²)/(25.92·15) for 60 km/h and 15 m."""
    got = outputs("braking-distance", speed="60 km/h", at_80="10", at_10="25")
    by_rule = ((0.8 * 60) ** 2 - (0.1 * 60) ** 2) / (25.92 * 15)
    assert got["mean_deceleration"] == pytest.approx(by_rule)
    in_si = ((0.8 * 60 / 3.6) ** 2 - (0.1 * 60 / 3.6) ** 2) / (25.92 * 15)
    assert got["mean_deceleration"] > 10 * in_si


def test_twice_the_speed_is_four_times_the_energy() -> None:
    slow, fast = (outputs("kinetic-energy", mass="200", speed=each) for each in ("30", "60"))
    assert fast["energy"] == pytest.approx(4 * slow["energy"])


def test_regeneration_pushes_hardest_at_the_highest_speed() -> None:
    bike = {"mass": "200", "voltage": "84"}
    fast = outputs("regen-power", **bike, speed="100", deceleration="1")
    hard = outputs("regen-power", **bike, speed="30", deceleration="2")
    assert fast["current"] > 1.5 * hard["current"]


def test_the_name_of_a_pack_does_not_give_its_class() -> None:
    """16 cells: 57.6 V nominal, called a 60 V pack, 67.2 V when full."""
    nominal, full = (outputs("voltage-class", voltage=v, resistance="40") for v in ("57.6", "67.2"))
    assert (nominal["voltage_class"], full["voltage_class"]) == ("A", "B")


def test_leads_fail_a_good_bond() -> None:
    four_wire = outputs("bonding", current="0.5", drop="18")
    two_wire = outputs("bonding", current="0.5", drop=f"{18 + 0.5 * 0.1 * 1000}")
    assert (four_wire["passes"], two_wire["passes"]) == (True, False)


def test_a_better_driveline_pushes_back_more() -> None:
    """What 80 % keep within 32 A is 36.6 A at 92 %."""
    given = {"mass": "200", "speed": "60", "deceleration": "1.5", "road_load": "99.41",
             "voltage": "84", "charge_limit": "32"}  # fmt: skip
    usual, good = outputs("regen-power", **given), outputs("regen-power", **given, efficiency="92")
    assert (usual["within"], good["within"]) == (True, False)
    assert good["current"] / usual["current"] == pytest.approx(92 / 80)


def test_a_current_that_pulls_a_full_pack_below_cut_off_never_flows() -> None:
    """600 A through 300 mΩ would be -57.6 kW; 20 kW draw more from this full pack than empty."""
    for given in (
        {"current": "600", "cutoff_voltage": "60", "resistance": "300"},
        {"power": "20", "cutoff_voltage": "80", "resistance": "50"},
    ):
        with pytest.raises(CalculationError, match="below cut-off") as refused:
            outputs("battery-current-limit", full_voltage="84", **given)
        assert "leave it above cut-off" in refused.value.hint
    assert outputs(
        "battery-current-limit", full_voltage="84", current="80", cutoff_voltage="60",
        resistance="300",
    )["power_at_full"] == pytest.approx(80 * 60 / 1e3)  # fmt: skip


@pytest.mark.parametrize(
    ("given", "hint"),
    [({"full": "3.65"}, "no nmc cell"), ({"chemistry": "lfp", "full": "4.2"}, "no lfp cell")],
)
def test_the_full_voltage_of_one_chemistry_is_not_put_on_the_nominal_one_of_another(
    given: dict[str, str], hint: str
) -> None:
    """16 LFP cells are 51.2 V nominal, not 57.6 V, though 58.4 V full looks right."""
    with pytest.raises(CalculationError, match=hint):
        outputs("pack-voltage", series="16", **given)
    assert outputs("pack-voltage", series="16", chemistry="lfp")["nominal_voltage"] == (
        pytest.approx(51.2)
    )
    assert outputs("pack-voltage", series="16", full="4.35")["full_voltage"] == pytest.approx(69.6)
