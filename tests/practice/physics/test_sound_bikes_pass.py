"""Every shipped checklist releases sound bikes of varied build: physics and limits fit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from commission.job.plan import plan
from commission.practice.physics.varied import demo_build, sound_build
from commission.practice.run import arriving, perform
from commission.procedure import load

if TYPE_CHECKING:
    from commission.job.plan import Plan

CHECKLISTS = sorted((Path(__file__).parents[3] / "checklists").glob("*.yaml"))
SEEDS = range(9000, 9025)


@pytest.fixture(scope="module", params=CHECKLISTS, ids=[path.stem for path in CHECKLISTS])
def checklist(request: pytest.FixtureRequest) -> Plan:
    loaded = load.load(request.param)
    assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
    return plan(loaded.procedure)


def test_a_sound_bike_is_released_with_nothing_that_a_rider_would_meet(checklist: Plan) -> None:
    for seed in SEEDS:
        run = perform(checklist, arriving(checklist, sound_build(seed)), seed)
        assert run.ended.how == "released", (seed, run.ended)
        assert run.truths == (), seed


def test_the_demonstrator_is_released(checklist: Plan) -> None:
    run = perform(checklist, arriving(checklist, demo_build()))
    assert (run.ended.how, run.failures, run.truths) == ("released", (), ())


def test_a_fair_procedure_seldom_has_to_try_a_sound_bike_twice(checklist: Plan) -> None:
    failures = [
        (seed, failure.step)
        for seed in SEEDS
        for failure in perform(checklist, arriving(checklist, sound_build(seed)), seed).failures
    ]
    assert len(failures) <= 1, failures
