"""What a rider would meet, one cause at a time: the truth that a trial judges by."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.practice.altering import altered
from commission.practice.controller import Controller
from commission.practice.physics.varied import demo_build, sound_build
from commission.practice.speeds import road_speed_limit
from commission.practice.targets import commissioned
from commission.practice.truths import truths

if TYPE_CHECKING:
    from commission.practice.altering import Change


def names(changes: dict[str, Change]) -> set[str]:
    """Return what is met on the demonstrator set right, with changes."""
    build = commissioned(demo_build())
    build = altered(build, changes) if changes else build
    return {truth.name for truth in truths(build, Controller(build.controller.storage))}


@pytest.mark.parametrize("seed", range(60))
def test_a_sound_bike_set_right_has_nothing(seed: int) -> None:
    build = commissioned(sound_build(seed))
    assert truths(build, Controller(build.controller.storage)) == ()


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"controller.storage.as_found.direction": "'normal'"}, "backward"),
        ({"motor.phase_order": 1}, "no drive"),
        ({"controller.storage.as_found.sensor_angle_1": "now + 100[deg]"}, "rough"),
        ({"controller.creeps": 0.05}, "creeps"),
        ({"throttle.state": "'sticks'"}, "creeps"),
        ({"controller.throttle_fault_detected": False}, "runs away"),
        ({"controller.storage.as_found.throttle_fault_low": 0.0}, "lost signal"),
        ({"lever.returns": 0.5}, "lever brakes"),
        ({"switches.brake_works": False}, "brake does not cut"),
        ({"controller.cuts_after_brake": False}, "brake does not cut"),
        ({"switches.stand_works": False}, "stand does not cut"),
        ({"controller.storage.as_found.tilt_sensor": True}, "tilt_sensor not fitted"),
        ({"controller.storage.as_found.startup_mode": "'high'"}, "start-up mode"),
        ({"switches.key_works": False}, "key"),
        ({"controller.storage.as_found.speed_limit": "now * 1.12"}, "too fast"),
        ({"driveline.rollout": "now * 1.12"}, "too fast"),
        ({"controller.storage.as_found.speed_limit": "now * 0.5"}, "too slow"),
        ({"controller.storage.display_unit": "'mph'"}, "display unit"),
        ({"controller.storage.as_found.battery_current_limit": "now * 1.2"},
         "battery_current_limit"),
        ({"controller.storage.as_found.regen_current_limit": "now * 2"}, "regen_current_limit"),
        ({"controller.storage.as_found.low_voltage_cutoff": "now * 0.9"}, "low_voltage_cutoff"),
        ({"temperature.motor_kind": "'KTY84'"}, "motor temperature"),
        ({"cooling.fan_works": False}, "fan fails"),
        ({"wiring.isolation_positive": 1e4}, "isolation"),
        ({"wiring.bonding_resistance": 1.0}, "bonding"),
        ({"wiring.fuse_voltage": 32.0}, "fuse voltage"),
        ({"wiring.terminal_torque": 4.0}, "terminal torque"),
        ({"wiring.precharge_resistance": 0.0}, "pre-charge"),
        ({"wiring.bleed_resistance": 1e9}, "bleed"),
    ],
)  # fmt: skip
def test_one_cause_is_met(changes: dict[str, Change], name: str) -> None:
    assert name in names(changes)


def test_it_is_looked_at_as_on_the_morning_after() -> None:
    build = commissioned(demo_build(), but=("direction",))
    build = altered(build, {"controller.storage.lost_when_cold": ("direction",)})
    held = Controller(build.controller.storage)
    held.enter("direction", "reversed")
    held.save()
    assert held.obeyed("direction") == "reversed"
    assert "backward" in {truth.name for truth in truths(build, held)}
    assert held.obeyed("direction") == "reversed"


def test_a_wrong_ratio_moves_the_true_speed_limit_by_as_much() -> None:
    build = commissioned(demo_build())
    right = road_speed_limit(build, Controller(build.controller.storage))
    wrong = altered(build, {"controller.storage.as_found.gear_ratio": "now * 0.9"})
    moved = road_speed_limit(wrong, Controller(wrong.controller.storage))
    assert moved / right == pytest.approx(0.9, rel=1e-3)
