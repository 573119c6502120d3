"""What is said after practice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.practice.altering import altered
from commission.practice.debrief import debrief
from commission.practice.habits import CONFIRMS
from commission.practice.run import perform

if TYPE_CHECKING:
    from commission.job.plan import Plan
    from commission.practice.build import Build


def test_a_sound_bike_leaves_nothing_to_say(exchange: Plan, arrived: Build) -> None:
    run = perform(exchange, arrived)
    told = debrief(exchange, arrived, 0, run.state, run.events)
    assert (told.shows, told.missed, told.happened) == ("", "", ())


def test_what_was_missed_is_named_by_its_step(exchange: Plan, arrived: Build) -> None:
    build = altered(arrived, {"switches.brake_works": False})
    honest, careless = perform(exchange, build), perform(exchange, build, 0, CONFIRMS)
    title = "“Pull the brake against a turning wheel on the stand”"
    found = debrief(exchange, build, 0, honest.state, honest.events)
    assert title in found.shows
    assert found.missed == ""
    told = debrief(exchange, build, 0, careless.state, careless.events)
    assert told.missed == f"Missed at {title}."
    assert any("ran up while the throttle was swept" in line for line in told.happened)


def test_a_wheel_that_turned_backward_is_told_with_its_step(exchange: Plan, arrived: Build) -> None:
    build = altered(arrived, {"controller.storage.not_obeyed": ("direction",)})
    run = perform(exchange, build)
    told = debrief(exchange, build, 0, run.state, run.events)
    assert any("turned backward" in line for line in told.happened)
