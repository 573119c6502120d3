"""What one trial came to: judged by the truth of the bike at its release, not by what was recorded.

caught       the job does not end in a release
remedied     released, and a rider would not meet the fault: found and mended on the way
escaped      released with the fault
false alarm  a sound bike was not released
sound        a sound bike was released, and is
no effect    the fault shows nothing on this bike: what it loses happened to be right before
stuck        the virtual bike had no answer for a step; nothing is known
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from commission.practice.altering import ChangeError, Truth, altered, value_at
from commission.practice.faults import Joined
from commission.practice.slots import Kind, slot_at
from commission.practice.truths import truths
from commission.procedure.expression import ExpressionError, UnknownValueError, parse

if TYPE_CHECKING:
    from commission.practice.bike import Bike
    from commission.practice.build import Build
    from commission.practice.faults import Fault
    from commission.practice.run import Run
    from commission.procedure.expression import Value

Outcome = Literal[
    "caught", "remedied", "escaped", "false alarm", "sound", "no effect", "stuck"
]  # fmt: skip
Where = Literal["before power", "on the stand", "riding", ""]
"""before power: before the wheel could turn under power; riding: with a rider on it."""
GOOD: Final = frozenset({"caught", "remedied", "sound", "no effect"})
HARMFUL: Final = frozenset(
    {"backward under power", "runs away", "live contact", "reversed polarity"}
)
"""Events that can hurt whoever stands beside the bike."""
DORMANT: Final = (
    "never_stored", "route_matters", "lost_when_cold", "ignores", "not_obeyed", "clamps", "drifts",
    "changes_others",
)  # fmt: skip
"""Parts of `controller.storage` that do nothing while the values that they touch are right."""
_RIDE: Final = "ride."


@dataclass(frozen=True, slots=True)
class Finding:
    """The step that found a fault (or stopped a sound bike)."""

    step: str = ""
    because: str = ""
    """Which limit or expectation, in the words of the verdict."""
    where: Where = ""
    harm: tuple[str, ...] = ()
    """What had hurt somebody before that step, as `step: event`."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one trial came to."""

    outcome: Outcome
    found: Finding = Finding()
    met: tuple[str, ...] = ()
    """What a rider would meet after the release."""


def judged(run: Run, fault: Fault | None, sound: Build) -> Verdict:
    """Return what a run came to; `sound` is the bike without its fault."""
    ended = run.ended
    first = run.failures[0].step if run.failures else ""
    if ended.how == "stuck":
        return Verdict("stuck", _finding(run, ended.step))
    if ended.how == "stopped":
        found = _finding(run, ended.step or first)
        return Verdict("false alarm" if fault is None else "caught", found)
    met = effects(run.bike, fault, sound)
    if fault is None:
        # A job that makes a sound bike unsound is as wrong as one that stops it.
        return Verdict("false alarm", _finding(run, first), met) if met else Verdict("sound")
    if met:
        return Verdict("escaped", _finding(run, first), met)
    if not first and is_dormant(fault):
        return Verdict("no effect")
    return Verdict("remedied", _finding(run, first))


def effects(bike: Bike, fault: Fault | None, sound: Build) -> tuple[str, ...]:
    """Return what a rider would meet of a bike as it stands, in sentences; empty for nothing."""
    if isinstance(fault, Joined) and fault.met is None:
        both = (effects(bike, part, sound) for part in fault.parts)
        return tuple(dict.fromkeys(each for met in both for each in met))
    if fault is not None and fault.met is not None:
        return (fault.effect,) if _is_met(bike, fault, sound) else ()
    return tuple(each.what for each in truths(bike.build, bike.controller))


def is_dormant(fault: Fault) -> bool:
    """Return whether a fault may show nothing at all on a given bike."""
    return any(path.split(".")[:2] == ["controller", "storage"] and path.split(".")[2] in DORMANT
               for path in fault.changes)  # fmt: skip


def still_stands(build: Build, fault: Fault, sound: Build) -> bool:
    """Return whether everything that the fault changed is as the fault made it."""
    faulty = altered(sound, fault.changes)
    return all(_same(build, faulty, path) for path in fault.changes)


def _same(build: Build, faulty: Build, path: str) -> bool:
    try:
        has, had = value_at(build, path), value_at(faulty, path)
    except ChangeError:
        return False
    return had <= has if slot_at(path).kind is Kind.NAMES else bool(has == had)


def _is_met(bike: Bike, fault: Fault, sound: Build) -> bool:
    """Return whether the catalogue's own condition holds; one that has no value is met."""
    over: dict[str, Value] = {"still": still_stands(bike.build, fault, sound)}
    later = bike.controller.after_cold_start()
    over |= {f"stored.{role}": value for role, value in later.working.items()}
    try:
        return bool(parse(fault.met if fault.met is not None else True).evaluate(
            Truth(bike.build, over)
        ))  # fmt: skip
    except (UnknownValueError, ExpressionError):
        return True


def _finding(run: Run, step: str) -> Finding:
    """Return the finding of a step: its first failure, or else the end of the run at it."""
    if not step:
        return Finding()
    failure = next((each for each in run.failures if each.step == step), None)
    at_s = run.seconds if failure is None else failure.at_s
    because = run.ended.why if failure is None else failure.because
    return Finding(step, because, _where(run, step, at_s), _harm(run, step, at_s))


def _where(run: Run, step: str, at_s: float) -> Where:
    """Return how far the bike had come when a step found something."""
    plan, index = run.state.plan, run.state.plan.index
    for entry in run.entries:
        if entry.step in index:
            probe = plan.planned(str(entry.step)).step.probe or ""
            if probe.startswith(_RIDE):
                return "riding"
        if entry.step == step and entry.clock.ns * 1e-9 >= at_s:
            break
    first = run.first_power_at_wheel_s
    return "before power" if first is None or at_s < first else "on the stand"


def _harm(run: Run, step: str, at_s: float) -> tuple[str, ...]:
    """Return the harmful events before the step that found the fault; those in it are its work."""
    return tuple(
        f"{event.step}: {event.kind}"
        for event in run.events
        if event.kind in HARMFUL and event.step != step and event.at_s <= at_s
    )
