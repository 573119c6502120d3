"""Whole jobs on whole bikes: released where sound, found where not, the same again each time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.practice.altering import altered
from commission.practice.habits import CONFIRMS, HONEST
from commission.practice.physics.varied import demo_build, sound_build
from commission.practice.run import arriving, perform
from commission.practice.targets import right_settings
from commission.procedure import load

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan
    from commission.practice.build import Build
    from commission.practice.habits import Habits

SLUGS = sorted(slug for slug, _, _ in load.shipped())


@pytest.mark.parametrize("slug", SLUGS)
def test_every_checklist_releases_the_demonstrator(
    plan_of: Callable[[str], Plan], slug: str
) -> None:
    run = perform(plan_of(slug), arriving(plan_of(slug), demo_build()))
    assert run.ended.how == "released", run.ended
    assert run.truths == ()
    assert run.failures == ()


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize("seed", range(8))
def test_every_checklist_releases_sound_bikes_of_varied_build(
    plan_of: Callable[[str], Plan], slug: str, seed: int
) -> None:
    run = perform(plan_of(slug), arriving(plan_of(slug), sound_build(seed)), seed)
    assert run.ended.how == "released", run.ended
    assert run.truths == ()


def test_the_main_checklist_releases_many_sound_bikes(exchange: Plan) -> None:
    for seed in range(100, 140):
        run = perform(exchange, arriving(exchange, sound_build(seed)), seed)
        assert (run.ended.how, run.truths) == ("released", ()), (seed, run.ended)


def test_the_same_seed_gives_the_same_entries(exchange: Plan) -> None:
    build = arriving(exchange, sound_build(3))
    first, again, other = (perform(exchange, build, seed) for seed in (1, 1, 2))
    assert repr(first.entries) == repr(again.entries)
    assert repr(first.entries) != repr(other.entries)


def test_a_released_bike_holds_what_is_right(exchange: Plan) -> None:
    run = perform(exchange, arriving(exchange, demo_build()))
    held = run.bike.controller.after_cold_start()
    for role, right in right_settings(run.bike.build).items():
        if isinstance(right, bool | str):
            assert held.obeyed(role) == right, role
        elif not role.startswith("sensor_angle"):
            assert held.obeyed(role) == pytest.approx(right, rel=0.06, abs=1.0), role


def test_power_reaches_the_wheel_only_after_the_bike_was_made_safe(exchange: Plan) -> None:
    run = perform(exchange, arriving(exchange, demo_build()))
    assert [event.kind for event in run.events] == ["power at the wheel"]
    assert run.events[0].step == "no_movement"
    assert run.events[0].at_s == run.first_power_at_wheel_s


def test_practice_is_written_in_the_opening_entry(exchange: Plan) -> None:
    run = perform(exchange, arriving(exchange, demo_build()))
    assert run.entries[0].body["practice"] is True
    assert run.state.opened is not None
    assert run.state.opened.practice


@pytest.mark.parametrize(
    ("change", "step"),
    [
        ({"pack.reversed_poles": True}, "pack_voltage"),
        ({"pack.isolator_opens": False}, "dead_between_poles"),
        ({"wiring.bleed_resistance": 1e9}, "dead_between_poles"),
        ({"switches.brake_works": False}, "brake_seen"),
        ({"controller.storage.never_stored": ("direction",)}, "key_cycles"),
        ({"controller.storage.lost_when_cold": ("direction",)}, "cold_cycle"),
        ({"controller.storage.not_obeyed": ("direction",)}, "wheel_direction"),
        ({"controller.creeps": 0.2}, "no_movement"),
        ({"switches.key_works": False}, "key_cycles"),
    ],
)
def test_a_fault_stops_the_main_checklist_where_it_shows(
    exchange: Plan, arrived: Build, change: Any, step: str
) -> None:
    run = perform(exchange, altered(arrived, change))
    assert (run.ended.how, run.ended.step) == ("stopped", step), run.ended
    assert run.truths
    assert not run.is_escape


def test_a_direction_with_two_homes_is_found_and_remedied_by_the_other_route(
    exchange: Plan, arrived: Build
) -> None:
    build = altered(arrived, {"controller.storage.route_matters": ("direction",)})
    run = perform(exchange, build)
    assert run.ended.how == "released"
    assert [failure.step for failure in run.failures] == ["key_cycles"]
    assert run.truths == ()


def test_a_bus_that_never_discharges_stops_a_cold_cycle_instead_of_going_on_for_ever(
    small: Callable[..., Any],
) -> None:
    run = small(
        '- {id: cold, kind: power_cycle, cycle: cold, title: Take it away, off_for: "60[s]", '
        'below: "5[V]", probe: power.cold}',
        wiring__bleed_resistance=1e9,
    )
    assert (run.ended.how, run.ended.step) == ("stopped", "cold")
    assert "still charged" in run.ended.why


def test_a_bike_comes_to_a_job_with_right_settings_but_for_those_it_writes(
    plan_of: Callable[[str], Plan],
) -> None:
    build = demo_build()
    right = right_settings(build)
    reverts = arriving(plan_of("direction-reverts"), build).controller.storage.as_found
    assert reverts["direction"] == build.controller.storage.as_found["direction"]
    assert reverts["speed_limit"] == right["speed_limit"]
    update = arriving(plan_of("firmware-update"), build).controller.storage
    assert update.as_found["speed_limit"] == right["speed_limit"]
    assert update.factory["speed_limit"] == build.controller.storage.as_found["speed_limit"]


@pytest.mark.parametrize("habits", [HONEST, CONFIRMS])
def test_an_independent_witness_reads_for_himself_whatever_the_doer_does(
    exchange: Plan, habits: Habits
) -> None:
    run = perform(exchange, arriving(exchange, demo_build()), habits=habits)
    seen = {
        entry.step: entry.body["parts"][""]["value"]
        for entry in run.entries
        if entry.kind == "hold_confirmed" and entry.body["mode"] == "independent"
    }
    assert seen == {"wheel_direction": "turns forward", "brake_seen": "drive cuts out"}


def test_a_witness_who_sees_another_thing_fails_the_step(exchange: Plan) -> None:
    build = altered(demo_build(), {"switches.brake_works": False})
    run = perform(exchange, arriving(exchange, build), habits=CONFIRMS)
    refused = [one for one in run.entries if one.kind == "hold_confirmed"][-1]
    assert (refused.step, refused.body["agrees"]) == ("brake_seen", False)
    assert "The witness read drive goes on, the first was drive cuts out" in refused.body["because"]
