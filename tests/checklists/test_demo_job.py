"""Whole jobs on the invented bike: one that passes, one whose direction reverts, many that fail."""

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


BARE = {
    "regen_lever": "not fitted", "stand_switch_fitted": "no", "cooling": "none",
    "motor_sensor_fitted": "no",
}  # fmt: skip
"""Facts of a bike that has none of the things that may be missing."""


def fates(job: Walk) -> dict[str, Fate]:
    return {line.setting: line.fate for line in ledger(job.state)}


def test_a_job_in_which_everything_passes_is_released(walk: Callable[[], Walk]) -> None:
    job = walk().until()

    assert job.state.outcome == "released"
    by_status: dict[Status, set[str]] = {}
    for step, stands in job.state.steps.items():
        by_status.setdefault(stands.status, set()).add(step)
    assert by_status.pop(Status.NOT_APPLICABLE) == {"tilt_seen"}
    assert by_status.pop(Status.DORMANT) == {
        "direction_corrected", "detection_current_raised", "rewritten_after_key_cycle",
        "rewritten_after_cold_cycle",
    }  # fmt: skip
    assert set(by_status) == {Status.PASSED}


def test_every_setting_written_has_held_through_three_cycles(walk: Callable[[], Walk]) -> None:
    job = walk().until()

    fate = fates(job)
    assert {fate.pop("motor_resistance"), fate.pop("motor_flux")} == {Fate.AS_FOUND}
    assert set(fate.values()) == {Fate.HELD}
    assert all(
        len(state.left) == 3 for state in job.state.settings.values() if state.written is not None
    )


def test_a_bike_with_nothing_fitted_is_released_with_all_of_it_switched_off(
    walk: Callable[[], Walk],
) -> None:
    job = walk()
    job.answers = deepcopy(job.answers)
    for fact, typed in BARE.items():
        job.answers[fact] = {"": {"value": typed}}
    off = {
        "regen_by_lever": "no", "stand_switch": "no", "fan_output": "no",
        "motor_sensor_kind": "none",
    }  # fmt: skip
    for pieces in job.answers.values():
        for part, cells in pieces.items():
            changed = {name: off[name] for name in cells if name in off}
            pieces[part] = {**cells, **changed}
    job.answers["as_found"] = deepcopy(walk().answers["as_found"])
    job.answers["motor_sensor_seen"] = {"": {"value": "not fitted"}}
    unwritten = {"lever_low", "lever_high"}
    for step in ("key_cycles", "cold_cycle"):
        for part, cells in job.answers[step].items():
            kept = {name: typed for name, typed in cells.items() if name not in unwritten}
            job.answers[step][part] = kept

    job.until()
    assert job.state.outcome == "released"
    assert {
        step for step, stands in job.state.steps.items()
        if stands.status is Status.NOT_APPLICABLE
    } == {
        "lever_released", "lever_window", "lever_written", "stand_seen", "tilt_seen",
        "cooling_seen", "motor_sensor", "motor_temperature",
    }  # fmt: skip
    left = job.state.settings
    assert {name: left[name].left[-1].given for name in off} == {
        "regen_by_lever": False, "stand_switch": False, "fan_output": False,
        "motor_sensor_kind": "none",
    }  # fmt: skip


def test_more_speed_than_the_road_class_allows_takes_the_leads_leave(
    walk: Callable[[], Walk],
) -> None:
    job = walk()
    job.answers["declared_use"] = {"": {"value": "road class up to 45 km/h"}}
    job.until("declared_top_speed")
    for _ in range(2):
        job.answer()

    assert "45" in job.stands("declared_top_speed").answer.because
    leave = {"scope": "one demonstration", "expiry": "2031-06-30", "reason": "papers are changed"}
    with pytest.raises(RefusedError):
        moves.concede(job.state, "declared_top_speed", "Rika Holt", **leave, now=job.now())
    job.record(
        [moves.concede(job.state, "declared_top_speed", "Mara Quill", **leave, now=job.now())]
    )
    assert job.stands("declared_top_speed").status is Status.CONCEDED


def test_a_direction_that_reverts_is_caught_remedied_and_proved_again(
    walk: Callable[[], Walk],
) -> None:
    job = walk()
    good = job.answers
    job.answers = deepcopy(good)
    job.answers["key_cycles"]["1:read-1"]["direction"] = "normal"
    job.answers["key_cycles"]["1:observe"]["wheel_direction"] = "turns backward"
    job.answers["rewritten_after_key_cycle"] = {
        "cells-1": {"direction": "reversed", "startup_mode": "low"}
    }

    job.until("key_cycles").until()
    assert job.stands("key_cycles").status is Status.FAILED
    assert "direction" in job.stands("key_cycles").answer.because
    assert fates(job)["direction"] is Fate.REVERTED

    assert job.step == "rewritten_after_key_cycle"
    good["rewritten_after_key_cycle"] = job.answers["rewritten_after_key_cycle"]
    job.answers = good
    job.answer()
    assert job.step == "wheel_direction"
    assert "written again" in str(job.stands("wheel_direction").due)

    job.until()
    assert job.state.outcome == "released"
    assert fates(job)["direction"] is Fate.HELD
    story = job.state.settings["direction"]
    assert [held.given for held in story.earlier] == ["normal"]
    assert [held.given for held in story.left] == ["reversed"] * 3


def test_a_corrected_rollout_makes_what_rests_on_it_due_again(walk: Callable[[], Walk]) -> None:
    job = walk().until("ready_to_ride")
    job.record(
        moves.correct(
            job.state, "rollout", {"": {"distance": "6.045", "turns": "3"}},
            "the tape was read at the wrong mark", "Rika Holt", job.now(),
        )
    )  # fmt: skip

    due = {step for step, stands in job.state.steps.items() if stands.status is Status.DUE_AGAIN}
    assert {"top_speed", "gearing_written", "key_cycles", "cold_cycle"} <= due
    assert due.isdisjoint({"wheel_direction", "sensor_detection", "limits_written"})


def test_nobody_writes_before_the_as_found_settings_are_complete(walk: Callable[[], Walk]) -> None:
    job = walk().until("as_found")

    with pytest.raises(RefusedError, match="not the step to do now"):
        moves.submit(job.state, "motor_written", {"pole_pairs": "7"}, "Rika Holt", job.now())


def test_the_technician_cannot_witness_the_direction_alone(walk: Callable[[], Walk]) -> None:
    job = walk().until("wheel_direction")
    job.answer()

    assert job.stands("wheel_direction").status is Status.HOLD
    with pytest.raises(RefusedError):
        moves.confirm_hold(job.state, "wheel_direction", "Rika Holt")


WRONG: list[tuple[str, dict[str, str]]] = [
    ("declared_top_speed", {"value": "95"}),
    ("wheel_free", {"value": "drags"}),
    ("meter_proved_before", {"value": "0.00"}),
    ("dead_between_poles", {"value": "14.2"}),
    ("dead_positive_to_frame", {"value": "-22.0"}),
    ("dead_negative_to_frame", {"value": "31.0"}),
    ("meter_proved_after", {"value": "0.01"}),
    ("controller_mounted", {"value": "4.0"}),
    ("cooling_path", {"value": "blocked by cables"}),
    ("cable_drop", {"loop_length": "6", "area": "6"}),
    ("fuse_voltage", {"value": "58"}),
    ("terminal_torque", {"value": "6.5"}),
    ("bonding", {"value": "340"}),
    ("isolation_positive", {"value": "21"}),
    ("isolation_negative", {"value": "8"}),
    ("pack_voltage", {"value": "-66.30"}),
    ("bus_voltage", {"value": "58.1"}),
    ("no_movement", {"value": "wheel twitches"}),
    ("session", {"serial": "K-000318", "version": "2.14", "program": "desk program 5.0"}),
    ("pole_pairs_counted", {"value": "14"}),
    ("wheel_direction", {"value": "turns backward"}),
    ("unloaded_run", {"value": "rough or loud"}),
    ("throttle_released", {"value": "0.05"}),
    ("throttle_unplugged", {"value": "wheel turns"}),
    ("lever_window", {"rest": "0.85", "full": "1.60"}),
    ("rollout", {"distance": "8.4", "turns": "3"}),
    ("brake_seen", {"value": "drive goes on"}),
    ("stand_seen", {"value": "drive goes on"}),
    ("cooling_seen", {"value": "stands still"}),
    ("controller_temperature", {"value": "71"}),
    ("motor_sensor", {"resistance": "410"}),
    ("motor_temperature", {"value": "-40"}),
    ("mode_seen", {"value": "high"}),
    ("walking_pace", {"value": "cuts out"}),
    ("half_power_motor", {"value": "97"}),
    ("full_power_motor", {"value": "124"}),
    ("speed_reached", {"value": "63"}),
    ("open_items", {"value": "grade A open"}),
]
"""Steps of one piece, each with what a bike with one fault would answer."""


@pytest.mark.parametrize(("step", "wrong"), WRONG, ids=[step for step, _ in WRONG])
def test_a_fault_is_caught_where_it_shows(
    walk: Callable[[], Walk], step: str, wrong: dict[str, str]
) -> None:
    job = walk().until(step)
    job.answers[step] = {"": wrong}
    job.answer()

    assert job.stands(step).failures == 1
    assert job.stands(step).answer.verdict == "fail"


PIECES: list[tuple[str, str, dict[str, str]]] = [
    ("motor_written", "cells-1", {"phase_current_limit": "350"}),
    ("sensor_detection", "run-3", {"angle_2": "271.0"}),
    ("sensors_stored", "cells-1", {"sensor_angle_1": "128.0"}),
    ("throttle_sweep", "point-3", {"y": "1.70"}),
    ("limits_written", "cells-1", {"regen_current_limit": "60"}),
    ("interlocks_written", "cells-1", {"tilt_sensor": "yes"}),
    ("key_cycles", "2:observe", {"mode_seen": "high"}),
    ("cold_cycle", "1:read-1", {"speed_limit": "90"}),
]
"""Steps of several pieces: one cell of one piece is wrong."""


@pytest.mark.parametrize(("step", "part", "cell"), PIECES, ids=[step for step, *_ in PIECES])
def test_one_wrong_cell_fails_its_step(
    walk: Callable[[], Walk], step: str, part: str, cell: dict[str, str]
) -> None:
    job = walk().until(step)
    job.answers = deepcopy(job.answers)
    job.answers[step][part].update(cell)
    while job.stands(step).failures == 0 and job.step == step:
        job.answer()

    assert job.stands(step).failures == 1


def test_a_cold_cycle_is_refused_while_the_bus_is_charged(walk: Callable[[], Walk]) -> None:
    job = walk().until("cold_cycle")
    job.answers = deepcopy(job.answers)
    job.answers["cold_cycle"]["1:bus"] = {"value": "31.0"}
    for _ in range(2):
        job.answer()

    assert moves.asking(job.state, "cold_cycle", job.now()).part == "1:bus"
