"""The virtual bike: its dice against bare dice, and whole jobs against reading their entries."""

from __future__ import annotations

import math
import timeit
from pathlib import Path
from random import Random
from typing import Any

ROUNDS = 5
CHECKLIST = Path(__file__).parents[2] / "checklists" / "controller-exchange.yaml"


def bench_detection_runs() -> dict[str, Any]:
    """Run detection 10,000 times; the floor draws the same random numbers and adds them."""
    from commission.practice.physics.rotor import detected
    from commission.practice.physics.varied import demo_build

    bike, random, number = demo_build(), Random(1), 10_000

    def bare() -> float:
        total = random.gauss(0.0, 0.01)
        for _ in range(3):
            total += random.gauss(0.0, 0.01) + math.sin(random.uniform(0.0, math.tau))
        return total

    def ours() -> object:
        return detected(bike.rotor, bike.motor, 0.25, random)

    measured, floor = (
        min(timeit.repeat(each, number=number, repeat=ROUNDS)) for each in (ours, bare)
    )
    return _result(f"{number} detection runs", measured, floor, aim=4.0)


def bench_whole_jobs() -> dict[str, Any]:
    """Do the main checklist on 20 sound bikes; the floor replays the entries they left."""
    from commission.job import advance
    from commission.job.plan import plan
    from commission.practice.physics.varied import sound_build
    from commission.practice.run import arriving, perform
    from commission.procedure import load

    procedure = load.load(CHECKLIST).procedure
    if procedure is None:
        raise RuntimeError("the checklist does not load")
    planned = plan(procedure)
    bikes = [arriving(planned, sound_build(seed)) for seed in range(20)]
    left = [perform(planned, bike, seed).entries for seed, bike in enumerate(bikes)]

    def ours() -> None:
        for seed, bike in enumerate(bikes):
            perform(planned, bike, seed)

    def bare() -> None:
        for entries in left:
            advance.replay(planned, entries)

    measured, floor = (min(timeit.repeat(each, number=1, repeat=ROUNDS)) for each in (ours, bare))
    return _result("20 whole jobs on virtual bikes", measured, floor, aim=30.0)


def _result(name: str, measured: float, floor: float, aim: float) -> dict[str, Any]:
    return {
        "name": name,
        "measured": measured,
        "floor": floor,
        "unit": "s",
        "ratio": measured / floor,
        "aim": aim,
    }
