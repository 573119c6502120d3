"""What is said after practice."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.practice import preparing
from commission.practice.altering import altered
from commission.practice.habits import CONFIRMS, HONEST
from commission.practice.preparing import Prepared
from commission.practice.review import Failed, Review, failed_in, lines, review
from commission.practice.run import Run, perform

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan
    from commission.practice.habits import Habits


def told(plan: Plan, bike: Prepared, habits: Habits = HONEST) -> tuple[Run, Review]:
    run = perform(plan, bike.build, bike.seed, habits)
    failed = failed_in(run.entries)
    stopped = run.ended.step if run.ended.how == "stopped" else ""
    return run, review(run.bike, bike, run.state, failed, stopped)


def under(what: Review, heading: str) -> tuple[str, ...]:
    return next((part.lines for part in what.paragraphs if part.heading == heading), ())


@pytest.fixture
def quick(plan_of: Callable[[str], Plan]) -> Plan:
    return plan_of("quick-persistence")


def test_a_sound_bike_that_was_released_was_done_right(quick: Plan) -> None:
    _, said = told(quick, preparing.prepared(quick, None, None))
    assert said.verdict == "RIGHT"
    assert under(said, "What was wrong") == ("Nothing: the bike came as it should.",)
    assert under(said, "Hazards on the way") == ("None.",)
    assert under(said, "At which step") == ()


def test_a_fault_that_stopped_the_job_is_caught_at_its_step(exchange: Plan) -> None:
    bike = preparing.prepared(exchange, preparing.named("brake-switch-dead"), None)
    run, said = told(exchange, bike)
    assert run.ended.how == "stopped"
    assert said.verdict == "CAUGHT"
    assert "Pull the brake against a turning wheel on the stand" in said.summary
    assert any("You CAUGHT it." in line for line in under(said, "At which step"))


def test_what_was_confirmed_without_looking_is_missed_at_its_step(exchange: Plan) -> None:
    bike = preparing.prepared(exchange, preparing.named("throttle-loss-not-seen"), None)
    run, said = told(exchange, bike, CONFIRMS)
    assert run.ended.how == "released"
    assert said.verdict == "MISSED"
    (step,) = under(said, "At which step")
    assert step.startswith("Unplug the throttle's signal with the key on: ")
    assert step.endswith("You MISSED it: the step passed.")
    assert under(said, "A rider meets") == (
        "A broken wire leaves the drive on with its last value.",
    )


def test_what_a_procedure_cannot_show_is_not_held_against_anybody(quick: Plan) -> None:
    bike = preparing.prepared(quick, preparing.named("startup-mode-not-stored"), None)
    _, said = told(quick, bike)
    assert said.verdict == "ESCAPED"
    assert "does not show it to anybody" in said.summary


def test_a_wheel_that_turned_backward_is_a_hazard_with_its_step_and_its_avoidance(
    exchange: Plan,
) -> None:
    sound = preparing.prepared(exchange, None, None)
    build = altered(sound.build, {"controller.storage.not_obeyed": ("direction",)})
    bike = Prepared(build, sound.sound, None, 0)
    _, said = told(exchange, bike)
    hazards = under(said, "Hazards on the way")
    assert any(
        "The wheel turned backward under power. The first throttle" in line for line in hazards
    )


def test_a_sound_bike_that_was_stopped_is_a_false_alarm_of_ones_own(quick: Plan) -> None:
    bike = preparing.prepared(quick, None, None)
    run = perform(quick, bike.build)
    said = review(
        run.bike, bike, perform(quick, altered(bike.build, {
            "controller.storage.not_obeyed": ("direction",),
            "controller.storage.as_found.direction": "'normal'",
        })).state,
        (Failed("wheel_direction", "Seen: turns backward; expected: turns forward."),),
    )  # fmt: skip
    assert said.verdict == "FALSE ALARM"
    assert any("The honest job passed it." in line for line in under(said, "At which step"))


def test_the_plain_text_keeps_to_the_width_and_says_every_paragraph(exchange: Plan) -> None:
    bike = preparing.prepared(exchange, preparing.named("throttle-loss-not-seen"), None)
    _, said = told(exchange, bike, CONFIRMS)
    text = list(lines(said, 70))
    assert all(len(line) <= 70 for line in text)
    assert text[0] == "MISSED"
    assert all(part.heading in text for part in said.paragraphs)
