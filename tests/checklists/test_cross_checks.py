"""The cross-checks of the shipped checklist: silent on the invented bike, loud on a changed one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.crosschecks.base import Severity
from commission.crosschecks.roles import ROLES
from commission.crosschecks.run import run
from commission.crosschecks.words import because
from commission.job import crosschecking, moves
from commission.job.judge import judge_again
from commission.job.state import Status
from commission.quantities import unit

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.procedure.model import Procedure

    Walk = Any

STEP: Final = "cross_checks"
NOT_BOUND: Final = {
    "fuse-cable", "cable-current", "cable-short-circuit", "fuse-breaking",
    "battery-management-current", "cut-offs-battery-management",
    "regeneration-battery-management", "drag-and-lever", "electrical-frequency",
    "power-level-pack", "power-level-gearing", "brake-switch-fitted",
}  # fmt: skip
"""Checks for which this bike has no papers, or this controller no setting."""
CHANGED: Final[list[tuple[str, str, Any]]] = [
    ("fuse-current", "fuse_rating", 125), ("pack-current", "pack_current_max", 100),
    ("sag-cut-off", "pack_resistance", 100), ("low-cut-off-cells", "series_cells", 20),
    ("high-cut-off-cells", "series_cells", 16),
    ("controller-voltage", "controller_voltage_max", 70),
    ("voltage-class", "voltage_class_worked_by", "A"),
    ("regeneration-charge", "cell_temperature", -5),
    ("regeneration-full-pack", "cell_full", 4.1), ("phase-motor", "motor_phase_max", 200),
    ("phase-controller", "controller_phase_max", 200),
    ("over-speed", "motor_speed_constant", 45), ("pole-pairs", "motor_pole_pairs", 14),
    ("speed-declared", "declared_top_speed", 45), ("speed-use", "use_speed_max", 45),
    ("speed-true", "rollout", 2100), ("speed-motor", "motor_speed_max", 3000),
    ("stand-switch-fitted", "stand_switch_fitted", False),
    ("tilt-sensor-fitted", "tilt_sensor_enabled", True),
    ("motor-sensor-fitted", "motor_sensor_fitted", False),
    ("regen-lever-fitted", "regen_lever_fitted", False), ("pump-fitted", "pump_enabled", True),
    ("fan-fitted", "fan_fitted", False), ("throttle-window", "throttle_released", 0.98),
    ("lever-window", "lever_released", 1.0),
]  # fmt: skip
"""Conflict, role and the value that makes it, in the role's unit."""


@pytest.fixture
def crossed(walk: Callable[[], Walk]) -> Walk:
    """The job on the invented bike, at its cross-checks."""
    job = walk().until(STEP)
    assert job.step == STEP
    return job


def test_the_invented_bike_has_no_conflict_and_nothing_to_look_at_again(crossed: Walk) -> None:
    found = crosschecking.findings(crossed.state)
    assert [because(each) for each in found if each.severity is Severity.CONFLICT] == []
    assert [because(each) for each in found if each.severity is Severity.LOOK_AGAIN] == []
    unchecked = {each.check.id for each in found if each.severity is Severity.UNCHECKED}
    assert unchecked == NOT_BOUND


@pytest.mark.parametrize(("conflict", "role", "value"), CHANGED)
def test_one_changed_value_gives_its_conflict(
    crossed: Walk, conflict: str, role: str, value: Any
) -> None:
    known = crosschecking.known(crossed.state)
    wild = isinstance(value, bool | str)
    si = value if wild else unit(ROLES[role].unit).to_si(float(value))
    known[role] = replace(known[role], value=si)
    severities = {each.check.id: each.severity for each in run(known)}
    assert severities[conflict] is Severity.CONFLICT


def test_every_check_that_can_conflict_on_this_bike_is_made_to(crossed: Walk) -> None:
    found = crosschecking.findings(crossed.state)
    looks_only = {"cable-heat", "battery-limit-reached", "flux-linkage", "speed-reached"}
    assert {conflict for conflict, *_ in CHANGED} == {
        each.check.id for each in found if each.check.id not in NOT_BOUND | looks_only
    }


def test_a_pack_that_sags_below_its_cut_off_when_half_full_stops_the_job_before_the_wheel_turns(
    walk: Callable[[], Walk],
) -> None:
    """100 mΩ pass at the measured voltage, and not at the nominal one."""
    job = walk()
    job.answers["pack_resistance"] = {"": {"value": "100"}}
    job.until(STEP)
    assert job.step == STEP
    job.answer()
    answer = job.stands(STEP).answer
    assert answer.verdict == "fail" == judge_again(answer.judged)
    assert "50.2 V" in answer.because
    assert "To be mended." in answer.because

    value = {"": {"value": "60"}}
    reason = "measured again with clean leads"
    job.record(moves.correct(job.state, "pack_resistance", value, reason, "Rika Holt", job.now()))
    job.answers["pack_resistance"] = value
    assert job.stands(STEP).status is Status.DUE_AGAIN
    job.until()
    assert job.stands(STEP).status is Status.PASSED
    assert job.state.outcome == "released"


def test_the_cross_checks_come_after_every_write_and_before_any_proof_and_ride(
    exchange: Procedure,
) -> None:
    steps = list(exchange.steps())
    order = {step.id: place for place, step in enumerate(steps)}
    for later in ("key_cycles", "cold_cycle", "walking_pace"):
        assert order[STEP] < order[later]
    for earlier in ("limits_written", "gearing_written", "interlocks_written", "throttle_written"):
        assert order[earlier] < order[STEP]
