"""Each shorter checklist, whole, on virtual bikes by the honest robot: sound and faulty ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.practice.faults import apply, shipped
from commission.practice.physics.varied import demo_build, sound_build
from commission.practice.run import arriving, perform
from commission.procedure.offers import offers

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan

SLUGS = [offer.slug for offer in offers() if offer.slug != "controller-exchange"]
SEEDS = range(12)

CAUGHT = [
    ("make-safe", "disconnector-welded", "dead_between_poles"),
    ("make-safe", "bleed-resistor-open", "dead_between_poles"),
    ("make-safe", "multimeter-dead", "meter_proved_before"),
    ("rotor-sensor-check", "rotor-sensor-dead", "sensor_sequence"),
    ("rotor-sensor-check", "rotor-sensor-stuck-high", "sensor_sequence"),
    ("rotor-sensor-check", "rotor-sensor-intermittent", "sensor_plug"),
    ("rotor-sensor-check", "rotor-sensor-wires-exchanged", "speed_sign"),
    ("rotor-sensor-check", "rotor-board-loose", "sensor_mounting"),
    ("rotor-sensor-check", "rotor-sensors-noisy", "sensor_detection"),
    ("rotor-sensor-check", "phase-open", "winding"),
    ("rotor-sensor-check", "phases-exchanged", "wheel_direction"),
    ("direction-reverts", "direction-not-stored", "key_cycles"),
    ("direction-reverts", "direction-lost-when-cold", "cold_cycle"),
    ("firmware-update", "speed-limit-not-stored", "key_cycles"),
    ("firmware-update", "pole-pairs-not-taken", "restored"),
    ("firmware-update", "software-on-other-controller", "session"),
    ("gearing-change", "primary-ratio-overstated", "wheel_speed"),
    ("gearing-change", "primary-ratio-understated", "wheel_speed"),
    ("gearing-change", "display-in-miles", "wheel_speed"),
    ("gearing-change", "speed-limit-not-stored", "key_cycles"),
    ("pack-change", "pack-poles-reversed", "pack_voltage"),
    ("pack-change", "cutoff-clamped", "limits_written"),
    ("pack-change", "fuse-for-lower-voltage", "fuse_voltage"),
    ("pack-change", "regeneration-limit-not-stored", "key_cycles"),
    ("borrower-limits", "speed-limit-not-stored", "key_cycles"),
    ("borrower-limits", "startup-mode-lost-when-cold", "cold_cycle"),
    ("borrower-limits", "speed-limit-without-effect", "speed_reached"),
    ("ride-follow-up", "mounting-bolts-slip", "controller_mounted"),
    ("ride-follow-up", "startup-mode-not-stored", "cold_cycle"),
    ("ride-follow-up", "startup-mode-lost-when-cold", "cold_cycle"),
    ("ride-follow-up", "current-limit-lost-when-cold", "cold_cycle"),
    ("quick-persistence", "phases-exchanged", "wheel_direction"),
]  # fmt: skip
"""Faults that a checklist is for, and the step that stops the job."""

MENDED = [
    ("direction-reverts", "direction-needs-other-route", "key_cycles"),
    ("firmware-update", "direction-needs-other-route", "key_cycles"),
    ("firmware-update", "unit-changes-speed-limit", "restored"),
    ("ride-follow-up", "found-with-interlocks-off", "cold_cycle"),
    ("ride-follow-up", "found-with-high-start", "cold_cycle"),
]
"""Faults that a checklist finds at a step and mends before the release."""


@pytest.mark.parametrize("slug", SLUGS)
def test_a_sound_bike_is_released_without_a_failure(
    slug: str, plan_of: Callable[[str], Plan]
) -> None:
    made = plan_of(slug)
    for seed, build in enumerate([demo_build(), *map(sound_build, SEEDS)]):
        run = perform(made, arriving(made, build), seed)
        assert run.ended.how == "released", (seed, run.ended)
        assert run.truths == ()
        assert [each.because for each in run.failures] == []


@pytest.mark.parametrize(("slug", "fault", "step"), CAUGHT)
def test_its_fault_stops_the_job_where_it_shows(
    slug: str, fault: str, step: str, plan_of: Callable[[str], Plan]
) -> None:
    made, found = plan_of(slug), shipped().find(fault)
    assert found is not None
    run = perform(made, apply(arriving(made, sound_build(3)), found), 1)

    assert (run.ended.how, run.ended.step) == ("stopped", step), run.ended


@pytest.mark.parametrize(("slug", "fault", "step"), MENDED)
def test_its_fault_is_found_mended_and_proved(
    slug: str, fault: str, step: str, plan_of: Callable[[str], Plan]
) -> None:
    made, found = plan_of(slug), shipped().find(fault)
    assert found is not None
    for seed in range(12):
        run = perform(made, apply(arriving(made, sound_build(seed)), found), 1)
        assert run.ended.how == "released", run.ended
        assert run.truths == ()
        if run.failures:
            assert {each.step for each in run.failures} == {step}
            return
    pytest.fail(f"no bike of twelve shows {fault}")


def test_a_grip_that_stays_a_tenth_open_never_leaves_the_workshop(
    plan_of: Callable[[str], Plan],
) -> None:
    made, found = plan_of("controller-exchange"), shipped().find("throttle-spring-tired")
    assert found is not None
    runs = [perform(made, apply(arriving(made, sound_build(seed)), found), 1) for seed in range(8)]

    assert {run.ended.how for run in runs} == {"stopped"}
    # Where its rest is still plausible by itself, only the way back from full shows it.
    assert {run.ended.step for run in runs} == {"throttle_released", "throttle_snaps_back"}
