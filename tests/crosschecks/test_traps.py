"""Traps of the trade that a cross-check must not fall into."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from commission.crosschecks.base import Compared, Finding, Severity
from commission.crosschecks.words import because, follows

if TYPE_CHECKING:
    from collections.abc import Callable

    Found = Callable[..., Finding]


def test_a_peak_current_is_divided_by_root_two_before_it_is_held_against_an_rms_one(
    found: Found,
) -> None:
    peak: dict[str, Any] = {"phase_current_limit": None, "phase_current_limit_peak": 360.0}
    # 360 A peak are 254.6 A rms: within 260 A rms, though 360 is more than 260.
    assert found("phase-motor", **peak).severity is Severity.FITS
    finding = found("phase-motor", **{**peak, "phase_current_limit_peak": 370.0})
    assert finding.severity is Severity.CONFLICT
    assert "261.6 A_rms" in because(finding)
    # And the other way: 250 A rms are 353.6 A peak, more than a motor of 300 A peak bears.
    motor: dict[str, Any] = {"motor_phase_max": None, "motor_phase_max_peak": 300.0}
    finding = found("phase-motor", **motor)
    assert finding.severity is Severity.CONFLICT
    assert "212.1 A_rms" in because(finding)


def test_the_sag_of_a_half_charged_pack_decides_and_not_that_of_a_full_one(found: Found) -> None:
    resistance = {"pack_resistance": 120.0}
    loaded_full = 75.6 - 100.0 * 0.120
    assert loaded_full > 54.0  # the full pack hides it
    assert found("sag-cut-off", **resistance).severity is Severity.CONFLICT


def test_the_full_pack_is_held_against_the_controller_and_not_the_nominal_one(
    found: Found,
) -> None:
    """16 cells are called a 60 V pack; full they have 67.2 V (16 · 4.2 V)."""
    sixteen = {"series_cells": 16, "pack_nominal_voltage": 57.6, "pack_full_voltage": 67.2,
               "high_voltage_cutoff": 67.4}  # fmt: skip
    assert found("controller-voltage", **sixteen, controller_voltage_max=63.0).severity is (
        Severity.CONFLICT
    )
    assert found("voltage-class", **sixteen, voltage_class_worked_by="A").severity is (
        Severity.CONFLICT
    )
    fourteen = {"pack_full_voltage": 58.8, "voltage_class_worked_by": "A"}
    assert found("voltage-class", **fourteen).severity is Severity.FITS


def test_the_cold_magnet_is_the_stronger_one(found: Found) -> None:
    """5000 r/min at 60 r/min/V are 83.3 V at 20 °C and 87.0 V at -20 °C (0.11 % a kelvin)."""
    warm = found("over-speed", magnet_coldest=20.0, controller_voltage_max=85.0)
    cold = found("over-speed", magnet_coldest=-20.0, controller_voltage_max=85.0)
    unknown = found("over-speed", magnet_coldest=None, controller_voltage_max=85.0)
    assert warm.severity is Severity.FITS
    assert cold.severity is unknown.severity is Severity.CONFLICT


def test_the_over_run_motor_decides_and_not_the_speed_limit(found: Found) -> None:
    assert found("over-speed", speed_limit=25.0, overrun_speed=6000.0).severity is (
        Severity.CONFLICT
    )


def test_twice_the_pole_pairs_are_poles(found: Found) -> None:
    assert "poles may have been counted" in follows(found("pole-pairs", pole_pairs=10))
    assert "poles" not in follows(found("pole-pairs", pole_pairs=4))


@pytest.mark.parametrize(
    ("factor", "told"),
    [(math.sqrt(2), "peak taken for rms"), (2.0, "pairs taken for poles"),
     (math.sqrt(3), "line to line"), (1.6, "")],
)  # fmt: skip
def test_a_mistaken_convention_of_the_flux_is_told_by_its_factor(
    found: Found, factor: float, told: str
) -> None:
    # ψ = 60/(2π·60·√3·5) = 18.38 mWb
    finding = found("flux-linkage", flux_linkage=18.38 * factor)
    assert finding.severity is Severity.LOOK_AGAIN
    assert told in follows(finding)
    assert ("factor" in follows(finding)) == bool(told)


def test_the_high_cut_off_ends_regeneration_at_a_full_pack(found: Found) -> None:
    """40 A through 50 mΩ lift a full pack by 2 V; a cut-off 0.3 V above full ends that."""
    assert found("regeneration-full-pack", regen_current_limit=60.0).severity is Severity.FITS
    finding = found("regeneration-full-pack", regen_current_limit=60.0, high_voltage_cutoff=90.0)
    assert finding.severity is Severity.CONFLICT
    assert "about zero" in follows(finding)


def test_a_weakened_field_lets_the_motor_go_beyond_its_no_load_speed(found: Found) -> None:
    slow = {"motor_speed_constant": 40.0}
    assert found("speed-reached", **slow).severity is Severity.LOOK_AGAIN
    assert found("speed-reached", **slow, field_weakening=True).severity is Severity.FITS


def test_a_cut_off_meant_for_another_number_of_cells_is_found_both_ways(found: Found) -> None:
    for cells in (14, 16, 20, 24):
        low, high = (
            found("low-cut-off-cells", low_voltage_cutoff=3.0 * cells),
            found("high-cut-off-cells", high_voltage_cutoff=4.2 * cells + 0.3),
        )
        worst = {low.severity, high.severity}
        assert Severity.CONFLICT in worst


def test_a_level_of_25_kw_from_290_a_of_20_cells_is_never_reached(found: Found) -> None:
    """About 290 A from a 20-cell pack is 22 to 23 kW at the terminals under load.

    common practice, no source
    """
    bike = {"battery_current_limit": 290.0, "pack_full_voltage": 84.0,
            "pack_cutoff_voltage": 60.0, "pack_resistance": 20.0}  # fmt: skip
    finding = found("power-level-pack", **bike, power_level=25.0)
    assert finding.severity is Severity.LOOK_AGAIN
    assert "the limit is elsewhere" in follows(finding)
    [compared] = finding.statements
    assert isinstance(compared, Compared)
    assert compared.high is not None
    assert 22e3 <= compared.high.value <= 23e3
    assert found("power-level-pack", **bike, power_level=22.0).severity is Severity.FITS


def test_a_power_level_that_the_gearing_ends_first_is_told_from_one_the_pack_ends(
    found: Found,
) -> None:
    slow = found("power-level-gearing", power_level=6.0, speed_limit=10.0)
    assert slow.severity is Severity.LOOK_AGAIN
    assert "phase current and the gearing" in follows(slow)
    assert found("power-level-pack", power_level=6.0, speed_limit=10.0).severity is Severity.FITS


def test_equal_but_for_rounding_fits(found: Found) -> None:
    assert found("pack-current", battery_current_limit=120.0 * (1 + 1e-12)).severity is (
        Severity.FITS
    )
    assert "equal" in because(found("pack-current", battery_current_limit=120.0))


def test_a_current_that_pulls_a_full_pack_below_cut_off_is_a_conflict_and_no_power(
    found: Found,
) -> None:
    """100 A through 300 mΩ leave 45.6 V of 75.6 V, below the cut-off of 54 V."""
    finding = found("power-level-pack", pack_resistance=300.0)
    assert finding.severity is Severity.CONFLICT
    assert "45.6 V" in because(finding)
    assert "never flows" in because(finding)


@pytest.mark.parametrize(
    "check", ["regeneration-charge", "regeneration-full-pack", "drag-and-lever"]
)
def test_a_charging_current_counted_as_negative_is_judged_like_a_positive_one(
    found: Found, check: str
) -> None:
    for current in (18.0, 60.0):
        shown = [
            found(check, regen_current_limit=each, high_voltage_cutoff=90.0)
            for each in (current, -current)
        ]
        assert shown[0].severity is shown[1].severity
        assert because(shown[0]) == because(shown[1])


@pytest.mark.parametrize(
    ("check", "role"),
    [
        ("cable-current", "battery_current_limit"), ("sag-cut-off", "low_voltage_cutoff"),
        ("controller-voltage", "high_voltage_cutoff"), ("speed-declared", "speed_limit"),
        ("phase-motor", "phase_current_limit"), ("fuse-cable", "fuse_rating"),
        ("electrical-frequency", "motor_speed_max"), ("power-level-pack", "pack_resistance"),
    ],
)  # fmt: skip
def test_a_limit_of_zero_is_within_everything_and_is_looked_at_again(
    found: Found, check: str, role: str
) -> None:
    """On some controllers it is no limit at all; it must not fit in silence."""
    finding = found(check, **{role: 0.0})
    assert finding.severity is Severity.LOOK_AGAIN
    assert "is no number to hold anything against" in because(finding)
    assert "no limit at all" in follows(finding)


@pytest.mark.parametrize(
    ("check", "role"), [("drag-and-lever", "drag_current"), ("lever-window", "lever_released")]
)
def test_what_can_be_zero_may_be(found: Found, check: str, role: str) -> None:
    assert found(check, **{role: 0.0}).severity is Severity.FITS


def test_regeneration_that_is_off_fits(found: Found) -> None:
    for check in ("regeneration-charge", "regeneration-full-pack",
                  "regeneration-battery-management"):  # fmt: skip
        assert found(check, regen_current_limit=0.0).severity is Severity.FITS
