"""Every trap a calculator names is shown by a test that the naive formula fails, or is advice.

Advice is what no number of the calculator can show: how to measure, what else to look at.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from commission.calculators import catalogue

ADVICE = "advice"
TESTS: dict[str, tuple[str, ...]] = {
    "pack-voltage": (
        "test_nominal_of_a_cell_decides_three_per_cent_of_a_pack",
        "test_voltage_class_follows_the_full_pack_not_its_name",
    ),
    "pack-resistance": (ADVICE, ADVICE),
    "pack-sag": (
        "test_sag_makes_the_current_larger_than_power_over_nominal_voltage",
        ADVICE,
        "test_more_power_than_a_pack_can_ever_give_is_refused",
    ),
    "c-rate": ("test_rate_of_a_cell_is_that_of_its_pack",),
    "battery-current-limit": (
        "test_power_limit_draws_its_worst_current_from_an_empty_pack",
        "test_a_power_level_beyond_the_current_limit_is_never_reached",
    ),
    "charge-limit": (
        ADVICE,
        "test_nothing_may_be_charged_outside_the_charging_temperatures",
        "test_a_full_pack_takes_nothing",
    ),
    "pack-energy": ("test_full_charge_voltage_overstates_the_energy_by_a_sixth",),
    "range": ("test_consumption_at_the_wheel_promises_too_much_range",),
    "wire-gauge": ("test_flexible_cable_has_more_resistance_than_its_cross_section_says",),
    "copper-temperature": (
        "test_copper_constants_are_told_apart",
        "test_the_factor_of_the_short_circuit_rule_is_no_temperature_offset",
    ),
    "cable-short-circuit": (ADVICE,),
    "flexible-cable": (
        "test_flexible_cable_has_more_resistance_than_its_cross_section_says",
        "test_flexible_cable_has_more_resistance_than_its_cross_section_says",
    ),
    "voltage-drop": (
        "test_voltage_is_lost_in_both_conductors",
        "test_warm_copper_loses_a_fifth_more",
    ),
    "fuse-rating": (
        ADVICE,
        "test_fuse_for_vehicles_is_not_rated_for_a_full_pack",
        "test_the_next_size_of_fuse_may_be_more_than_the_cable_carries",
    ),
    "fuse-pulse": (ADVICE,),
    "precharge": (
        "test_three_time_constants_are_not_full",
        "test_half_a_square_of_the_capacitor_is_lost_whatever_the_resistor",
        "test_a_load_during_precharge_stops_the_voltage_short",
    ),
    "discharge-time": (ADVICE, "test_no_time_to_wait_is_not_no_energy"),
    "motor-constants": (
        "test_kv_conventions_are_roots_of_two_and_three_apart",
        "test_torque_constants_per_peak_per_rms_and_block_differ",
        "test_poles_are_twice_the_pole_pairs",
        "test_back_emf_in_volts_rms_is_root_two_of_the_peak",
    ),
    "electrical-speed": ("test_poles_are_twice_the_pole_pairs",),
    "torque": (
        "test_torque_with_power_invariant_values_and_the_factor_of_amplitude_is_half_too_large",
        ADVICE,
    ),
    "base-speed": (
        "test_sine_triangle_modulation_ends_thirteen_per_cent_below_space_vector",
        "test_sag_lowers_the_base_speed",
    ),
    "field-weakening": (
        "test_when_weakening_ends_the_capacitors_get_more_than_the_battery_has",
        "test_weakening_current_heats_and_gives_no_torque_of_its_own",
    ),
    "battery-current": (
        "test_battery_current_is_neither_phase_current_nor_half_of_it",
        "test_duty_times_phase_current_is_not_the_battery_current",
        "test_factor_of_three_with_peak_values_doubles_the_power",
    ),
    "overspeed-voltage": (
        "test_when_weakening_ends_the_capacitors_get_more_than_the_battery_has",
        "test_cold_magnets_raise_the_overspeed_voltage",
        "test_a_bike_downhill_passes_its_speed_limit",
        "test_speed_constants_of_other_volts_look_safe",
    ),
    "copper-loss": (
        "test_line_resistance_with_factor_three_would_double_the_loss",
        "test_warm_winding_has_two_fifths_more_resistance",
    ),
    "winding-temperature": (
        "test_a_coefficient_of_zero_degrees_applied_from_twenty_reads_low",
        ADVICE,
        "test_winding_uncertainty_is_what_the_trap_says",
    ),
    "phase-resistance": ("test_star_equivalent_is_half_of_the_reading_for_delta_too",),
    "dq-inductance": (
        "test_half_least_and_half_largest_of_three_readings_under_read_the_saliency",
        ADVICE,
    ),
    "sensor-sequence": (
        "test_zero_and_seven_belong_to_sixty_degree_placement",
        "test_dead_sensor_is_named",
        "test_inverting_the_middle_sensor_turns_one_placement_into_the_other",
    ),
    "turning-direction": ("test_swapped_sensor_wires_and_swapped_phases_hide_each_other",),
    "sensor-spread": (
        "test_angles_are_not_averaged_along_a_line",
        "test_spread_of_five_runs_is_corrected_for_their_number",
        "test_spread_is_not_the_angular_deviation_of_the_same_name",
    ),
    "sector-error": (
        "test_sectors_are_measured_around_the_circle",
        "test_a_degree_at_the_sensor_is_a_fraction_of_it_at_the_shaft",
    ),
    "reduction": ("test_the_ratio_upside_down_is_sixteen_times_too_fast",),
    "rollout": ("test_printed_diameter_reads_two_to_four_per_cent_too_fast", ADVICE),
    "wheel-speed": (
        "test_printed_diameter_reads_two_to_four_per_cent_too_fast",
        "test_radians_in_revolutions_do_not_enter_the_speed",
    ),
    "tyre-size": ("test_loaded_tyre_rolls_less_than_pi_times_its_diameter", ADVICE),
    "chain-length": ("test_chain_has_an_even_number_of_links", ADVICE),
    "wheel-thrust": ("test_half_the_printed_diameter_reads_the_thrust_low",),
    "gradeability": ("test_slope_is_a_tangent_and_its_force_a_sine", ADVICE),
    "road-load": (
        "test_off_road_tyres_roll_several_times_harder",
        "test_the_pull_of_a_slope_is_a_sine",
    ),
    "top-speed": (
        "test_off_road_tyres_roll_several_times_harder",
        "test_power_beyond_the_gearing_changes_nothing",
        ADVICE,
    ),
    "coast-down": (
        "test_off_road_tyres_roll_several_times_harder",
        "test_turning_wheels_coast_longer",
    ),
    "lever-window": (
        "test_without_a_dead_band_a_worn_lever_creeps",
        "test_a_window_wider_than_the_lever_never_gives_full_demand",
    ),
    "lever-faults": (
        "test_open_ground_reads_full_throttle_unless_a_high_limit_catches_it",
        "test_limits_inside_the_levers_travel_stop_a_healthy_bike",
    ),
    "lever-pair": ("test_channels_are_compared_in_travel_not_in_volts",),
    "lever-linearity": ("test_three_definitions_of_linearity_give_three_numbers",),
    "platinum-sensor": (
        "test_old_scale_of_platinum_is_not_ours",
        "test_leads_read_a_kelvin_on_a_pt100_and_a_tenth_on_a_pt1000",
        "test_the_american_platinum_curve_is_another_one",
    ),
    "silicon-sensor": (
        ADVICE,
        "test_square_alone_reads_a_hot_silicon_sensor_too_cool",
        "test_wrong_silicon_or_platinum_choice_reads_more_than_a_hundred_kelvin_wrong",
    ),
    "ntc-beta": (
        "test_beta_holds_only_near_its_two_temperatures",
        "test_kelvin_and_not_celsius_enter_the_ntc_equation",
    ),
    "ntc-steinhart-hart": (
        "test_points_close_together_fit_the_noise",
        "test_the_b_value_is_no_constant",
    ),
    "sensor-at-ambient": (
        "test_wrong_silicon_or_platinum_choice_reads_more_than_a_hundred_kelvin_wrong",
        "test_the_same_ohms_are_two_sensors_twelve_kelvin_apart",
        ADVICE,
    ),
    "supply-budget": ("test_pulse_of_the_horn_trips_what_the_mean_would_pass",),
    "fan-power": ("test_a_pump_starts_with_several_times_its_current",),
    "meter-accuracy": (
        "test_counts_grow_tenfold_with_the_range",
        "test_per_cent_of_range_is_not_per_cent_of_reading",
    ),
    "repeatability": (
        "test_last_digit_of_large_readings_is_not_lost",
        "test_small_series_need_more_than_two_point_eight_deviations",
        "test_angles_do_not_belong_in_the_repeatability_of_numbers",
    ),
    "combined-uncertainty": (
        "test_correlated_contributions_agree_with_an_uncertainty_library",
        ADVICE,
    ),
    "guard-band": (
        "test_inside_the_tolerance_is_not_proven_inside",
        "test_not_proven_is_not_rejected",
    ),
    "braking-distance": (
        "test_twice_the_speed_is_four_times_the_distance",
        "test_the_rules_formula_holds_in_km_h_and_metres_only",
    ),
    "kinetic-energy": ("test_twice_the_speed_is_four_times_the_energy",),
    "regen-power": (
        "test_road_load_is_taken_off_what_comes_back",
        "test_regeneration_pushes_hardest_at_the_highest_speed",
        "test_a_better_driveline_pushes_back_more",
    ),
    "voltage-class": (
        "test_the_name_of_a_pack_does_not_give_its_class",
        "test_small_pack_below_class_b_still_burns",
    ),
    "isolation-resistance": (
        "test_combined_bus_asks_five_times_the_isolation_of_a_separate_one",
        ADVICE,
    ),
    "bonding": ("test_leads_fail_a_good_bond",),
}
"""By calculator: the test of each of its traps, in their order."""


@pytest.mark.parametrize("name", catalogue.names())
def test_every_trap_has_a_test_or_is_advice(name: str) -> None:
    assert len(TESTS[name]) == len(catalogue.get(name).traps)


def test_the_tests_named_are_there() -> None:
    written = "\n".join(
        path.read_text("utf-8") for path in Path(__file__).parent.glob("test_[top]*.py")
    )
    there = set(re.findall(r"^def (test_\w+)\(", written, re.MULTILINE))
    assert {each for tests in TESTS.values() for each in tests} - {ADVICE} <= there


def test_most_traps_are_shown_by_numbers() -> None:
    every = [each for tests in TESTS.values() for each in tests]
    assert every.count(ADVICE) < 0.2 * len(every)
