"""One whole job on one virtual bike: a plan, a build and a seed in; its entries and its end out.

The same plan, build, seed and habits give the same entries, byte for byte. Plans are shared: make
one per procedure, not one per run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.practice.autopilot import Autopilot
from commission.practice.bike import Bike
from commission.practice.desk import Desk
from commission.practice.habits import HONEST
from commission.practice.targets import commissioned
from commission.practice.truths import Truth, truths
from commission.procedure.vocabulary import role_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.job.entry import Entry
    from commission.job.plan import Plan, PlannedStep
    from commission.job.state import JobState
    from commission.practice.autopilot import Ended, Failure
    from commission.practice.build import Build
    from commission.practice.events import Event
    from commission.practice.habits import Habits


@dataclass(frozen=True, slots=True)
class Run:
    """What became of it."""

    state: JobState
    entries: tuple[Entry, ...]
    ended: Ended
    failures: tuple[Failure, ...]
    """Every step that failed, each time it did."""
    events: tuple[Event, ...]
    first_power_at_wheel_s: float | None
    """When the wheel first could turn under power, simulated seconds; None: never."""
    truths: tuple[Truth, ...]
    """What a rider would meet on the bike as it was left."""
    seconds: float
    """Simulated time in all."""
    bike: Bike
    """As it was left."""

    @property
    def is_escape(self) -> bool:
        """Whether it was let go although a rider would meet something."""
        return self.ended.how in ("released", "finished") and bool(self.truths)


def arriving(plan: Plan, build: Build) -> Build:
    """Return the bike as it comes to a job under this procedure.

    A setting that the procedure writes to something new is as the build found it; every other one
    is right already, for somebody commissioned this bike before. Faults are applied after this.
    """
    changed = {
        role_of(plan.settings[name])
        for planned in plan.steps
        if planned.kind == "write"
        for name in _written(plan, planned)
        if plan.settings[name].intended not in (None, f"{name}.found")
    }
    return commissioned(build, but=changed)


def _written(plan: Plan, planned: PlannedStep) -> Iterable[str]:
    names = getattr(planned.step, "settings", ())
    return plan.settings if names == "all" else names


def perform(plan: Plan, build: Build, seed: int = 0, habits: Habits = HONEST) -> Run:
    """Do a whole job on a bike and return what became of it.

    Args:
        plan: of a checked procedure.
        build: the bike as it arrives (see `arriving`), with its fault if it has one.
        seed: decides noise, nothing else.
        habits: how the robot works.
    """
    bike = Bike(build, seed)
    known = {"frame": build.identity.get("frame", "PRACTICE"), "model": "virtual bike"}
    desk = Desk.open(plan, lambda: bike.now_s, known, seed)
    robot = Autopilot(desk, bike, habits)
    ended = robot.work()
    return Run(
        state=desk.state,
        entries=tuple(desk.entries),
        ended=ended,
        failures=tuple(robot.failures),
        events=tuple(bike.events),
        first_power_at_wheel_s=bike.first_power_at_wheel_s,
        truths=truths(bike.build, bike.controller),
        seconds=bike.now_s,
        bike=bike,
    )
