"""The bike that comes to a practice job: sound or with a fault, the demonstrator or another one."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING, Final

from commission.errors import RefusedError
from commission.practice import faults
from commission.practice.altering import ChangeError
from commission.practice.physics.varied import demo_build, sound_build
from commission.practice.run import arriving, perform

if TYPE_CHECKING:
    from commission.job.plan import Plan
    from commission.practice.build import Build
    from commission.practice.faults import Fault

RANDOM: Final = "random"
_TRIES: Final = 200
"""How many seeds are tried for a bike that has what a fault needs."""
_SOUND: Final = 1 / 3
_LOOKS: Final = 60
"""How many faults are tried for one that the procedure finds."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A bike as it comes to a job, and the same one without its fault."""

    build: Build
    sound: Build
    fault: Fault | None
    seed: int


def prepared(plan: Plan, fault: Fault | None, seed: int | None) -> Prepared:
    """Return a bike as it comes to a job, with its fault where it is to have one.

    Args:
        plan: of a checked procedure.
        fault: what is wrong with it; None for a sound bike.
        seed: which bike; None is the demonstrator, where it can have the fault.

    Raises:
        RefusedError: no bike has what the fault needs.
    """
    if fault is None:
        build = arriving(plan, _bike(seed, seed or 0))
        return Prepared(build, build, None, seed or 0)
    first = seed or 0
    for number in range(first, first + _TRIES):
        build = _bike(seed, number)
        if not fault.possible(build):
            continue
        sound = arriving(plan, build)
        try:
            return Prepared(faults.apply(sound, fault), sound, fault, number)
        except ChangeError:
            continue  # this bike lacks what is to be changed
    raise RefusedError(f"No sound bike has what {fault.id} needs.", "Give another seed.")


def named(name: str) -> Fault:
    """Return a fault of the shipped catalogue.

    Raises:
        RefusedError: there is none of that name; says the nearest ones.
    """
    known = _shipped()
    for fault in known:
        if fault.id == name:
            return fault
    near = difflib.get_close_matches(name, [each.id for each in known], n=2)
    hint = f"Did you mean {' or '.join(near)}?" if near else "See checklists/faults."
    raise RefusedError(f"There is no fault {name[:60]!r}.", hint)


def findable(plan: Plan, seed: int | None) -> Prepared:
    """Return a bike with a fault at random that this procedure finds where it is honestly done.

    Raises:
        RefusedError: none of those tried is found by it.
    """
    from commission.practice.judging import judged

    random = Random(seed)  # noqa: S311  for play
    known = list(_shipped())
    random.shuffle(known)
    for fault in known[:_LOOKS]:
        try:
            bike = prepared(plan, fault, seed)
        except RefusedError:
            continue
        done = perform(plan, bike.build, bike.seed)
        outcome = judged(done, fault, bike.sound).outcome
        if outcome == "caught" or (outcome == "remedied" and done.failures):
            return bike
    raise RefusedError("This procedure finds none of the faults that were tried.",
                       "Choose a fault by name, or another procedure.")  # fmt: skip


def _bike(seed: int | None, number: int) -> Build:
    """Return the sound bike of a number; without a seed the first one is the demonstrator."""
    return demo_build() if seed is None and number == 0 else sound_build(number)


def _shipped() -> tuple[Fault, ...]:
    known = faults.shipped().faults
    if not known:
        raise RefusedError("The fault catalogue cannot be read.", "Its files are damaged.")
    return known


def surprise(plan: Plan, seed: int | None) -> Prepared:
    """Return a bike that may be sound: one in three is, and the others have a findable fault."""
    if Random(seed).random() < _SOUND:  # noqa: S311  for play
        return prepared(plan, None, seed)
    return findable(plan, seed)
