"""Each of the shorter checklists at the fault that it is for: caught, mended, proved or stopped."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import RefusedError
from commission.job import moves
from commission.job.ledger import ledger
from commission.job.state import Fate, Status

if TYPE_CHECKING:
    from collections.abc import Callable

    # Typing only: the walk itself comes from the fixture.
    Walk = Any
    Start = Callable[[str], Walk]


def fate(job: Walk, setting: str) -> Fate:
    return next(line.fate for line in ledger(job.state) if line.setting == setting)


def changed(job: Walk, step: str, part: str, **cells: str) -> None:
    """Answer one piece of a step otherwise, from now on."""
    job.answers = deepcopy(job.answers)
    job.answers[step][part] = {**job.answers[step].get(part, {}), **cells}


def mended(job: Walk, good: Any) -> Walk:
    """Go on with good answers to the end."""
    job.answers = {**good, **{name: job.answers[name] for name in job.answers if name not in good}}
    return job.until()


# Make safe


@pytest.mark.parametrize("volts", ["14.2", "66.1"])
def test_a_bus_that_is_not_dead_stops_the_work_until_a_lead_has_looked(
    walk_of: Start, volts: str
) -> None:
    job = walk_of("make-safe").until("dead_between_poles")
    good = job.answers
    changed(job, "dead_between_poles", "", value=volts)
    job.answer()

    assert volts in job.stands("dead_between_poles").answer.because
    assert job.state.stopped == "dead_between_poles"
    job.record([moves.resume(job.state, "Mara Quill", "the disconnector was mended")])
    assert mended(job, good).state.outcome == "released"


def test_who_made_it_safe_does_not_witness_it(walk_of: Start) -> None:
    job = walk_of("make-safe").until("released")
    job.answer()

    assert job.stands("released").status is Status.HOLD
    with pytest.raises(RefusedError):
        moves.confirm_hold(job.state, "released", "Rika Holt")


# Rotor-position sensor check

ROTOR: list[tuple[str, dict[str, str], str]] = [
    ("sensor_plug", {"value": "wet or corroded"}, "wet"),
    ("sensor_mounting", {"value": "moves"}, "moves"),
    ("winding", {"ab": "12.4", "bc": "12.5", "ca": "18.9"}, "mean"),
    ("isolation_phases", {"value": "12"}, "12"),
    ("sensor_sequence", {"states": "1 0 2 3"}, "A low"),
    ("sensor_sequence", {"states": "5 4 6 2 1 3"}, "disordered"),
    ("speed_sign", {"value": "negative speed"}, "negative"),
    ("unloaded_run", {"value": "rough or loud"}, "rough"),
]


@pytest.mark.parametrize(("step", "wrong", "words"), ROTOR)
def test_a_knocking_motor_is_caught_where_its_cause_lies(
    walk_of: Start, step: str, wrong: dict[str, str], words: str
) -> None:
    job = walk_of("rotor-sensor-check").until(step)
    good = job.answers
    changed(job, step, "", **wrong)
    job.answer()

    assert job.stands(step).failures == 1
    assert words in job.stands(step).answer.because
    assert mended(job, good).state.outcome == "released"


def test_angles_that_lie_where_they_were_ask_nothing(walk_of: Start) -> None:
    job = walk_of("rotor-sensor-check").until()
    assert job.stands("angles_moved").status is Status.NOT_APPLICABLE


@pytest.mark.parametrize(
    ("found", "asks"), [("60.0", True), ("108.0", True), ("111.0", False), ("129.0", False)]
)
def test_angles_that_lie_elsewhere_than_found_ask_what_has_moved(
    walk_of: Start, found: str, *, asks: bool
) -> None:
    job = walk_of("rotor-sensor-check")
    changed(job, "as_found", "cells-1", sensor_angle_1=found)
    job.answers["angles_moved"] = {"": {"value": "firm"}}
    job.until("sensors_stored")

    status = Status.PASSED if asks else Status.NOT_APPLICABLE
    assert job.stands("angles_moved").status is status


def test_an_angle_on_either_side_of_zero_has_not_moved(walk_of: Start) -> None:
    # The third sensor's mean is 359.2 degrees: 4 degrees lie 4.8 degrees from it, not 355.
    job = walk_of("rotor-sensor-check")
    changed(job, "as_found", "cells-1", sensor_angle_3="4.0")
    job.until("sensors_stored")

    assert job.stands("angles_moved").status is Status.NOT_APPLICABLE


def test_scattered_angles_are_detected_again_with_more_current(walk_of: Start) -> None:
    job = walk_of("rotor-sensor-check").until("sensor_detection")
    good = job.answers
    changed(job, "sensor_detection", "run-3", angle_2="271.0")
    job.answers["detection_current_raised"] = {"": {"value": "done"}}
    job.until()  # the first time it fails
    job.until()  # the one retry fails as well

    assert job.step == "detection_current_raised"
    assert mended(job, good).state.outcome == "released"


# Direction reverts


def test_a_direction_lost_at_the_key_is_written_by_another_route_and_proved(
    walk_of: Start,
) -> None:
    job = walk_of("direction-reverts").until("key_cycles")
    good = job.answers
    changed(job, "key_cycles", "1:read-1", direction="normal")
    changed(job, "key_cycles", "1:observe", wheel_direction="turns backward")
    job.answers["rewritten_after_key_cycle"] = {"cells-1": {"direction": "reversed"}}
    job.until()

    assert job.stands("key_cycles").status is Status.FAILED
    assert fate(job, "direction") is Fate.REVERTED
    assert job.step == "rewritten_after_key_cycle"
    assert "other page or program" in moves.asking(job.state, job.step, job.now()).say
    job.answer()
    assert job.step == "wheel_direction"

    assert mended(job, good).state.outcome == "released"
    assert fate(job, "direction") is Fate.HELD
    story = job.state.settings["direction"]
    assert [held.given for held in story.earlier] == ["normal"]
    assert len(story.left) == 3


def test_a_direction_lost_only_in_the_cold_is_found_too(walk_of: Start) -> None:
    job = walk_of("direction-reverts").until("cold_cycle")
    changed(job, "cold_cycle", "1:read-1", direction="normal")
    changed(job, "cold_cycle", "1:observe", wheel_direction="turns backward")
    job.until()

    assert job.step == "rewritten_after_cold_cycle"
    assert job.stands("cold_cycle").status is Status.FAILED


def test_a_direction_that_never_stays_is_not_released(walk_of: Start) -> None:
    job = walk_of("direction-reverts").until("key_cycles")
    changed(job, "key_cycles", "1:read-1", direction="normal")
    job.answers["rewritten_after_key_cycle"] = {"cells-1": {"direction": "reversed"}}
    for _ in range(3):
        job.until()

    assert job.state.stopped == "key_cycles"
    assert job.stands("rewritten_after_key_cycle").status is Status.PASSED


# Firmware update


def test_what_the_update_changed_is_said_setting_by_setting(walk_of: Start) -> None:
    job = walk_of("firmware-update").until("restored")
    told = job.stands("after_update").answer

    # 28 lines of the two lists differ; the throttle's end by its closeness of 0.02 V alone.
    assert "32 settings read again, 27 changed." in told.because
    assert "start-up mode was low, is high." in told.because
    assert "phase resistance" not in told.because
    assert job.state.settings["startup_mode"].found.given == "low"


def test_a_setting_that_was_not_set_back_is_caught(walk_of: Start) -> None:
    job = walk_of("firmware-update").until("restored")
    good = job.answers
    changed(job, "restored", "cells-1", speed_limit="90")
    job.until()

    assert "speed limit" in job.stands("restored").answer.because
    assert mended(job, good).state.outcome == "released"


def test_an_update_that_did_not_take_is_seen_by_its_version(walk_of: Start) -> None:
    job = walk_of("firmware-update").until("session_after")
    changed(job, "session_after", "", version="2.14")
    job.answer()

    assert "2.20" in job.stands("session_after").answer.because
    assert job.stands("session_after").failures == 1


def test_no_update_without_the_way_back(walk_of: Start) -> None:
    job = walk_of("firmware-update").until("as_found_copy")
    with pytest.raises(RefusedError, match="not the step to do now"):
        moves.submit(job.state, "updated", {"value": "done"}, "Rika Holt", job.now())


# Gearing change


@pytest.mark.parametrize("speed", ["523", "380"])
def test_a_wheel_that_is_not_as_fast_as_its_limit_is_caught_on_the_stand(
    walk_of: Start, speed: str
) -> None:
    job = walk_of("gearing-change").until("wheel_speed")
    changed(job, "wheel_speed", "", value=speed)
    job.answer()

    assert job.stands("wheel_speed").answer.verdict == "fail"


def test_the_old_ratio_is_not_taken_for_the_new_one(walk_of: Start) -> None:
    job = walk_of("gearing-change").until("gearing_written")
    changed(job, "gearing_written", "cells-1", gear_ratio="7.80")
    job.until()

    assert "it reads 7.8" in job.stands("gearing_written").answer.because.lower()


def test_teeth_counted_again_make_everything_after_them_due_again(walk_of: Start) -> None:
    job = walk_of("gearing-change").until("ready_to_ride")
    job.record(
        moves.correct(
            job.state, "gearing", {"": {"driving_teeth": "13", "driven_teeth": "48"}},
            "counted twice", "Rika Holt", job.now(),
        )
    )  # fmt: skip

    due = {step for step, stands in job.state.steps.items() if stands.status is Status.DUE_AGAIN}
    assert {"top_speed", "motor_at_limit", "gearing_written", "key_cycles", "cold_cycle"} <= due


# Pack change


def test_a_pack_that_the_controller_cannot_bear_never_comes_near_it(walk_of: Start) -> None:
    job = walk_of("pack-change")
    changed(job, "series_cells", "", value="24")
    job.until()

    assert job.step == "pack_window"
    assert "100.8" in job.stands("pack_window").answer.because


PACK: list[tuple[str, dict[str, str]]] = [
    ("pack_condition", {"value": "swollen or dented"}),
    ("pack_voltage", {"value": "-62.10"}),
    ("pack_voltage", {"value": "71.2"}),
    ("fuse_voltage", {"value": "58"}),
    ("isolation_negative", {"value": "8"}),
    ("pack_temperature", {"value": "58"}),
]


@pytest.mark.parametrize(("step", "wrong"), PACK)
def test_a_pack_that_does_not_fit_is_caught(
    walk_of: Start, step: str, wrong: dict[str, str]
) -> None:
    job = walk_of("pack-change").until(step)
    changed(job, step, "", **wrong)
    job.answer()

    assert job.stands(step).answer.verdict == "fail"


def test_the_old_packs_cut_off_is_caught(walk_of: Start) -> None:
    job = walk_of("pack-change").until("limits_written")
    changed(job, "limits_written", "cells-1", low_voltage_cutoff="51.0", high_voltage_cutoff="71.7")
    job.until()

    because = job.stands("limits_written").answer.because
    assert "low voltage cut-off" in because
    assert "high voltage cut-off" in because


def test_the_wait_covers_the_old_pack_whatever_it_was(walk_of: Start) -> None:
    # From 96 V, the most the controller bears: 9.1 kΩ · 1.6 mF · ln(96/5) is 43.0 s.
    job = walk_of("pack-change").until("discharge_wait")
    job.answer()

    wait = moves.asking(job.state, "discharge_wait", job.now()).wait
    assert wait is not None
    assert wait.seconds == pytest.approx(43.0, abs=0.1)


# Limits for another rider


@pytest.mark.parametrize(("step", "more"), [("speed_wanted", "60"), ("level_wanted", "45")])
def test_a_borrower_gets_no_more_than_the_owner_had(walk_of: Start, step: str, more: str) -> None:
    job = walk_of("borrower-limits").until(step)
    changed(job, step, "", value=more)
    job.answer()

    assert job.stands(step).answer.verdict == "fail"


def test_the_owner_gets_his_own_again(walk_of: Start) -> None:
    job = walk_of("borrower-limits")
    good = {"speed_limit": "55", "power_level_low": "40", "startup_mode": "normal"}
    lent = {"speed_limit": "25", "power_level_low": "20", "startup_mode": "low"}
    changed(job, "way", "", value="limits of the owner again")
    changed(job, "as_found", "cells-1", **lent)
    changed(job, "speed_wanted", "", value="55")
    changed(job, "level_wanted", "", value="40")
    job.answers["mode_wanted"] = {"": {"value": "normal"}}
    changed(job, "mode_seen", "", value="normal")
    changed(job, "limits_written", "cells-1", **good)
    for step in ("key_cycles", "cold_cycle"):
        for part in [part for part in job.answers[step] if part.endswith(("read-1", "observe"))]:
            own = good if part.endswith("read-1") else {"mode_seen": "normal"}
            changed(job, step, part, **own)
    changed(job, "speed_reached", "", value="53.8")

    assert job.until().state.outcome == "released"
    assert job.stands("way_back_noted").status is Status.NOT_APPLICABLE
    assert [fate(job, name) for name in good] == [Fate.HELD] * 3
    assert job.stands("asked").answer.parts[""]["by"] == "Ilse Quant"


def test_a_limit_lost_at_the_key_is_written_by_another_route_and_proved(walk_of: Start) -> None:
    job = walk_of("borrower-limits").until("key_cycles")
    good = job.answers
    changed(job, "key_cycles", "1:read-1", speed_limit="55")
    job.answers["rewritten_after_key_cycle"] = job.answers["limits_written"]
    job.until()

    assert fate(job, "speed_limit") is Fate.REVERTED
    assert job.step == "rewritten_after_key_cycle"
    assert mended(job, good).state.outcome == "released"


# Follow-up after the first hour


def test_a_setting_that_drifted_since_the_last_job_is_set_back_and_proved(walk_of: Start) -> None:
    job = walk_of("ride-follow-up").until("cold_cycle")
    good = job.answers
    changed(job, "cold_cycle", "1:read-1", speed_limit="90")
    job.answers["set_back"] = {"cells-1": dict(good["cold_cycle"]["1:read-1"])}
    job.until()

    assert fate(job, "speed_limit") is Fate.DRIFTED
    assert "speed limit drifted" in job.stands("cold_cycle").answer.because
    assert job.step == "set_back"
    assert mended(job, good).state.outcome == "released"
    assert fate(job, "speed_limit") is Fate.HELD


FOLLOW_UP: list[tuple[str, dict[str, str]]] = [
    ("ridden", {"value": "5"}),
    ("controller_temperature", {"value": "88"}),
    ("motor_temperature", {"value": "-40"}),
    ("session", {"serial": "K-000318", "version": "2.14", "program": "desk program 5.0"}),
    ("controller_mounted", {"value": "6.0"}),
    ("marks", {"value": "one broken"}),
    ("terminal_torque", {"value": "6.5"}),
    ("open_items", {"value": "grade A open"}),
]


@pytest.mark.parametrize(("step", "wrong"), FOLLOW_UP)
def test_what_an_hour_has_done_is_caught(walk_of: Start, step: str, wrong: dict[str, str]) -> None:
    job = walk_of("ride-follow-up").until(step)
    changed(job, step, "", **wrong)
    job.answer()

    assert job.stands(step).answer.verdict == "fail"


# Quick persistence check


@pytest.mark.parametrize("cycle", ["key_cycle", "cold_cycle"])
def test_what_reverts_in_the_quick_check_stops_it(walk_of: Start, cycle: str) -> None:
    job = walk_of("quick-persistence").until(cycle)
    changed(job, cycle, "1:read-1", direction="normal")
    job.until()

    assert job.state.stopped == cycle
    assert fate(job, "direction") is Fate.DRIFTED


def test_without_time_for_the_cold_the_record_says_that_it_was_not_proved(walk_of: Start) -> None:
    job = walk_of("quick-persistence")
    changed(job, "time_for_cold", "", value="no")

    assert job.until().state.outcome == "released"
    assert job.stands("cold_cycle").status is Status.NOT_APPLICABLE
    assert len(job.state.settings["direction"].left) == 1
