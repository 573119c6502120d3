"""Careless hands, and what the structure of a procedure still finds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.job.ask import Ask
from commission.practice.altering import altered
from commission.practice.carelessness import middle
from commission.practice.habits import ALL, CONFIRMS, COPIES, HONEST, HURRIES
from commission.practice.physics.varied import sound_build
from commission.practice.run import arriving, perform

if TYPE_CHECKING:
    from commission.job.plan import Plan
    from commission.practice.altering import Change
    from commission.practice.build import Build
    from commission.practice.habits import Habits


@pytest.mark.parametrize("habits", ALL, ids=[each.name for each in ALL])
def test_any_hand_gets_a_sound_bike_released(exchange: Plan, habits: Habits) -> None:
    for seed in range(3):
        run = perform(exchange, arriving(exchange, sound_build(seed)), seed, habits)
        assert run.ended.how == "released", run.ended


def outcome(
    exchange: Plan, build: Build, habits: Habits, changes: dict[str, Change]
) -> tuple[bool, str]:
    run = perform(exchange, altered(build, changes), 1, habits)
    return run.is_escape, run.ended.step


def test_a_dead_stand_switch_that_was_only_confirmed_is_seen_by_the_cold_cycles_witness(
    exchange: Plan, arrived: Build
) -> None:
    dead: dict[str, Change] = {"switches.stand_works": False}
    assert outcome(exchange, arrived, HONEST, dead) == (False, "stand_seen")
    assert outcome(exchange, arrived, CONFIRMS, dead) == (False, "cold_cycle")


def test_a_witness_who_looks_for_himself_finds_the_dead_brake_switch_that_was_only_confirmed(
    exchange: Plan, arrived: Build
) -> None:
    dead: dict[str, Change] = {"switches.brake_works": False}
    assert outcome(exchange, arrived, HONEST, dead) == (False, "brake_seen")
    assert outcome(exchange, arrived, CONFIRMS, dead) == (False, "brake_seen")


def test_a_witness_still_sees_a_wheel_that_turns_backward(exchange: Plan, arrived: Build) -> None:
    backward: dict[str, Change] = {"controller.storage.not_obeyed": ("direction",)}
    assert outcome(exchange, arrived, CONFIRMS, backward) == (False, "wheel_direction")


def test_read_backs_still_find_what_is_not_stored_for_who_only_confirms(
    exchange: Plan, arrived: Build
) -> None:
    lost: dict[str, Change] = {"controller.storage.never_stored": ("speed_limit",)}
    assert outcome(exchange, arrived, CONFIRMS, lost) == (False, "key_cycles")
    assert outcome(exchange, arrived, COPIES, lost) == (True, "")


def test_timers_and_the_measured_bus_still_hold_who_hurries(exchange: Plan, arrived: Build) -> None:
    lost: dict[str, Change] = {"controller.storage.never_stored": ("direction",)}
    assert outcome(exchange, arrived, HONEST, lost) == (False, "key_cycles")
    assert outcome(exchange, arrived, HURRIES, lost) == (False, "cold_cycle")


@pytest.mark.parametrize(
    ("criterion", "text"),
    [
        ("42.00 V to 58.80 V", "50.40"),
        ("at least 100.0 kΩ", "120.0"),
        ("at most 5.000 V", "2.500"),
        ("-5.000 V to 5.000 V", "0.000"),
        ("", None),
        ("not known: pack has no value", None),
    ],
)
def test_the_middle_of_what_is_good(criterion: str, text: str | None) -> None:
    assert middle(Ask("value", "Reading", "quantity", "V", (), criterion)) == text
