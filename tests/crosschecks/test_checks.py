"""Each cross-check both ways: the sound bike fits, and one changed value is caught."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.calculators import catalogue as calculators
from commission.crosschecks import catalogue
from commission.crosschecks.base import Compared, Finding, Severity
from commission.crosschecks.roles import ROLES
from commission.crosschecks.run import run
from commission.crosschecks.words import advice, because, follows

if TYPE_CHECKING:
    from collections.abc import Callable

    Found = Callable[..., Finding]

CONFLICT, LOOK = Severity.CONFLICT, Severity.LOOK_AGAIN

BROKEN: Final[list[tuple[str, dict[str, Any], Severity, str]]] = [
    ("fuse-current", {"battery_current_limit": 121}, CONFLICT, "161.3 A"),
    ("fuse-current", {"fuse_voltage": 70}, CONFLICT, "5.6 V too little"),
    ("fuse-cable", {"fuse_rating": 200}, CONFLICT, "35 A too much"),
    ("cable-current", {"battery_current_limit": 170}, CONFLICT, "5 A too much"),
    ("cable-heat", {"cable_area": "16"}, LOOK, "14.48 W/m"),
    ("cable-short-circuit", {"fuse_clearing_time": 3.0, "cable_area": "16"}, CONFLICT, "1512 A"),
    ("fuse-breaking", {"fuse_breaking_current": 1000}, CONFLICT, "512 A too much"),
    ("pack-current", {"battery_current_limit": 125}, CONFLICT, "5 A too much"),
    ("battery-management-current", {"bms_current_max": 90}, CONFLICT, "10 A too much"),
    ("sag-cut-off", {"pack_resistance": 120}, CONFLICT, "52.8 V"),
    ("sag-cut-off", {"battery_current_limit": 2000}, CONFLICT, "0 V"),
    ("low-cut-off-cells", {"low_voltage_cutoff": 48}, CONFLICT, "6 V too little"),
    ("low-cut-off-cells", {"low_voltage_cutoff": 66}, CONFLICT, "1.2 V too much"),
    ("high-cut-off-cells", {"high_voltage_cutoff": 67.2}, CONFLICT, "8.4 V too little"),
    ("high-cut-off-cells", {"high_voltage_cutoff": 84}, CONFLICT, "7.5 V too much"),
    ("cut-offs-battery-management", {"bms_low_cutoff": 56}, CONFLICT, "2 V too little"),
    ("cut-offs-battery-management", {"bms_high_cutoff": 75.5}, CONFLICT, "0.4 V too much"),
    ("controller-voltage", {"controller_voltage_max": 72}, CONFLICT, "3.6 V too much"),
    ("voltage-class", {"voltage_class_worked_by": "A"}, CONFLICT, "class B"),
    ("battery-limit-reached", {"battery_current_limit": 320}, LOOK, "306.2 A"),
    ("regeneration-charge", {"regen_current_limit": 25}, CONFLICT, "limited by: cell current"),
    ("regeneration-charge", {"cell_temperature": -2}, CONFLICT, "limited by: too cold"),
    ("regeneration-charge", {"pack_open_voltage": 75.6}, CONFLICT, "limited by: voltage"),
    ("regeneration-full-pack", {"regen_current_limit": 40, "high_voltage_cutoff": 90}, CONFLICT,
     "4.311 V"),
    ("regeneration-battery-management", {"bms_charge_max": 15}, CONFLICT, "3 A too much"),
    ("drag-and-lever", {"drag_current": 20, "regen_current_limit": 30}, LOOK, "2 A too much"),
    ("drag-and-lever", {"lever_regen_current": 30}, LOOK, "12 A too much"),
    ("phase-motor", {"phase_current_limit": 270}, CONFLICT, "10 A_rms too much"),
    ("phase-controller", {"controller_phase_max": 240}, CONFLICT, "10 A_rms too much"),
    ("over-speed", {"controller_voltage_max": 85}, CONFLICT, "87 V"),
    ("over-speed", {"overrun_speed": 6000}, CONFLICT, "104.4 V"),
    ("pole-pairs", {"pole_pairs": 4}, CONFLICT, "1 pairs too little"),
    ("electrical-frequency", {"electrical_frequency_max": 400}, CONFLICT, "416.7 Hz"),
    ("flux-linkage", {"flux_linkage": 30}, LOOK, "too much"),
    ("power-level-pack", {"power_level": 8}, LOOK, "7.06 kW"),
    ("power-level-gearing", {"power_level": 25}, LOOK, "too much"),
    ("speed-declared", {"speed_limit": 65}, CONFLICT, "5 km/h too much"),
    ("speed-use", {"use_speed_max": 45}, CONFLICT, "15 km/h too much"),
    ("speed-true", {"wheel_circumference": 1900}, CONFLICT, "63.16 km/h"),
    ("speed-true", {"gear_ratio": 8.0}, CONFLICT, "64 km/h"),
    ("speed-motor", {"motor_speed_max": 3000}, CONFLICT, "3750 r/min"),
    ("speed-reached", {"motor_speed_constant": 40}, LOOK, "48.38 km/h"),
    ("stand-switch-fitted", {"stand_switch_fitted": False}, CONFLICT, "on"),
    ("tilt-sensor-fitted", {"tilt_sensor_enabled": True}, CONFLICT, "not fitted"),
    ("tilt-sensor-fitted", {"tilt_sensor_fitted": True}, LOOK, "off"),
    ("brake-switch-fitted", {"brake_switch_fitted": False}, CONFLICT, "not fitted"),
    ("motor-sensor-fitted", {"motor_sensor_fitted": False}, CONFLICT, "not fitted"),
    ("regen-lever-fitted", {"regen_lever_fitted": False}, CONFLICT, "not fitted"),
    ("pump-fitted", {"pump_enabled": True}, CONFLICT, "not fitted"),
    ("fan-fitted", {"fan_enabled": False}, LOOK, "off"),
    ("throttle-window", {"throttle_begins": 0.8}, CONFLICT, "0.05 V too little"),
    ("throttle-window", {"throttle_fault_low": 0.9}, CONFLICT, "0.05 V too much"),
    ("throttle-window", {"throttle_fault_high": 4.1}, CONFLICT, "0.05 V too little"),
    ("throttle-window", {"throttle_full": 4.3}, LOOK, "0.15 V too much"),
    ("throttle-window", {"throttle_begins": 0.85}, LOOK, "0.03 V too little"),
    ("throttle-window", {"throttle_begins": 4.12}, CONFLICT, "too much"),
    ("throttle-window", {"throttle_fault_low": 0.0}, LOOK, "0.1 V too little"),
    ("throttle-window", {"throttle_fault_high": 5.0}, LOOK, "0.1 V too much"),
    ("lever-window", {"lever_begins": 0.85}, CONFLICT, "0.05 V too little"),
    ("lever-window", {"lever_begins": 0.9}, LOOK, "0.03 V too little"),
    ("regeneration-charge", {"regen_current_limit": -25}, CONFLICT, "limited by: cell current"),
    ("regeneration-full-pack", {"regen_current_limit": -40, "high_voltage_cutoff": 90}, CONFLICT,
     "4.311 V"),
    ("regeneration-battery-management", {"regen_current_limit": -18, "bms_charge_max": 15},
     CONFLICT, "3 A too much"),
    ("drag-and-lever", {"lever_regen_current": -30}, LOOK, "12 A too much"),
]  # fmt: skip
"""Check, what is changed, how it comes out, and a number or word that its sentence must have."""


def test_on_a_sound_bike_every_check_can_be_made_and_fits(
    sound: dict[str, Any], known: Callable[..., Any]
) -> None:
    found = run(known(sound))

    assert {finding.check.id for finding in found} == set(catalogue.names())
    bad = [because(finding) for finding in found if finding.severity is not Severity.FITS]
    assert not bad


@pytest.mark.parametrize(("check", "changed", "severity", "said"), BROKEN)
def test_one_wrong_value_is_caught_with_both_numbers_what_follows_and_what_to_do(
    found: Found, check: str, changed: dict[str, Any], severity: Severity, said: str
) -> None:
    finding = found(check, **changed)

    assert finding.severity is severity
    assert said in because(finding)
    assert follows(finding)
    assert advice(finding)
    for statement in finding.statements:
        if isinstance(statement, Compared):
            assert statement.left.origin


def test_every_check_is_tried_both_ways() -> None:
    assert {check for check, *_ in BROKEN} == set(catalogue.names())


@pytest.mark.parametrize("check", catalogue.names())
def test_what_is_missing_is_said_and_never_fits(found: Found, check: str) -> None:
    for need in catalogue.get(check).needs:
        roles = (need,) if isinstance(need, str) else need
        finding = found(check, **dict.fromkeys(roles))
        assert finding.severity is Severity.UNCHECKED
        assert all(f"({role})" in because(finding) for role in roles)


@pytest.mark.parametrize("check", catalogue.all_checks(), ids=lambda check: check.id)
def test_a_check_is_declared_with_known_roles_and_calculators_and_a_source(
    check: Any, found: Found
) -> None:
    assert set(check.roles) <= set(ROLES)
    assert len(check.roles) == len(set(check.roles))
    assert len(check.source) > 8
    used = found(check.id).calculators
    assert set(used) == set(check.calculators)
    assert used == {name: calculators.get(name).version for name in used}


def test_every_role_is_looked_at_by_a_check() -> None:
    looked_at = {role for check in catalogue.all_checks() for role in check.roles}
    peaks = {role for role in ROLES if role.endswith("_peak")}
    assert peaks <= looked_at
    assert set(ROLES) == looked_at


def test_findings_come_worst_first(sound: dict[str, Any], known: Callable[..., Any]) -> None:
    sound |= {"fuse_rating": 100.0, "power_level": 25.0, "bms_charge_max": None}
    order = [finding.severity for finding in run(known(sound))]
    assert order == sorted(order, key=list(Severity).index)
    assert set(order) == set(Severity)


def test_values_that_have_no_result_together_are_a_conflict(found: Found) -> None:
    finding = found("low-cut-off-cells", cell_cutoff=3.9)
    assert finding.severity is CONFLICT
    assert "no result together" in because(finding)
    assert "not in rising order" in because(finding)
    assert advice(finding)


def test_nothing_a_finding_says_sounds_like_a_permission(
    sound: dict[str, Any], known: Callable[..., Any]
) -> None:
    for finding in run(known(sound)):
        words = because(finding).casefold()
        assert not {"safe", "permitted", "approved", "ok"} & set(words.split())
