"""The rules of a power cycle: off, long enough, discharged, on, everything read, seen again.

Pieces of cycle k: `k:off`, `k:bus` (where a threshold is given; again until below it), `k:on`,
`k:read-1`, `k:read-2` …, `k:observe`.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError
from commission.job.closeness import value_of
from commission.job.elapsed import seconds
from commission.job.resolved import number_now
from commission.job.state import Status
from commission.job.values import VALUE

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.state import JobState, StepState
    from commission.job.working import Working
    from commission.procedure.model import PowerCycle

_PART: Final = re.compile(r"([1-9]):(off|bus|on|observe|read-[1-9]\d*)")


def covered(state: JobState | Working, step: PowerCycle) -> tuple[str, ...]:
    """Return the settings that a power cycle reads back: by default all written so far."""
    if step.settings == "all":
        return tuple(state.plan.settings)
    if step.settings == "written":
        return tuple(
            name for name in state.plan.settings
            if name in state.settings and state.settings[name].written is not None
        )  # fmt: skip
    return step.settings


def observed(state: JobState | Working, step: PowerCycle) -> tuple[str, ...]:
    """Return the observations that a power cycle repeats: those that apply to this bike."""
    return tuple(
        name for name in step.observe
        if state.steps[name].status is not Status.NOT_APPLICABLE
    )  # fmt: skip


def cycle_in_hand(state: JobState | Working, step: PowerCycle, stands: StepState) -> int:
    """Return the number of the first cycle that is not complete; one more than asked when done."""
    cycle = 1
    while cycle <= step.cycles and is_complete(state, step, stands, cycle):
        cycle += 1
    return cycle


def is_complete(state: JobState | Working, step: PowerCycle, stands: StepState, cycle: int) -> bool:
    """Return whether a cycle is on again with everything read and seen."""
    if f"{cycle}:on" not in stands.parts:
        return False
    if not set(observed(state, step)) <= set(stands.parts.get(f"{cycle}:observe", ())):
        return False
    return set(covered(state, step)) <= read_in(stands, cycle)


def read_in(stands: StepState, cycle: int) -> set[str]:
    """Return the settings already read in a cycle of the attempt in hand."""
    start = f"{cycle}:read-"
    return {
        name for part, cells in stands.parts.items() if part.startswith(start) for name in cells
    }


def cycle_of(part: str) -> int:
    """Return which cycle a piece belongs to."""
    return int(part[0])


def check_piece(job: Working, step: PowerCycle, stands: StepState, entry: Entry) -> None:
    """Refuse a piece that cannot come now.

    Raises:
        IllegalEntryError: too early, too short, the bus still charged, or no such piece.
    """
    part = entry.body["part"]
    match = _PART.fullmatch(part)
    if match is None or int(match[1]) > step.cycles:
        raise IllegalEntryError(f"Step {step.id} has no piece {part!r}.")
    if "replaces" in entry.body and part in stands.parts:
        return
    cycle, what = int(match[1]), match[2]
    if cycle != cycle_in_hand(job, step, stands):
        raise IllegalEntryError(f"Piece {part} is not of the cycle in hand.")
    off, on = f"{cycle}:off" in stands.parts, f"{cycle}:on" in stands.parts
    if what == "off":
        return
    if not off:
        raise IllegalEntryError(f"Piece {part} cannot come before the power is off.")
    if what == "on":
        _check_on(job, step, stands, entry)
    elif what == "bus" and on:
        raise IllegalEntryError(f"Piece {part} cannot come after the power is on again.")
    elif what != "bus" and not on:
        raise IllegalEntryError(f"Piece {part} cannot come before the power is on again.")
    elif what.startswith("read-"):
        _check_cells(job, step, entry)


def check_whole(job: Working, step: PowerCycle, stands: StepState, _: Entry) -> None:
    """Refuse to conclude before every cycle is complete.

    Raises:
        IllegalEntryError: says which cycle is not.
    """
    cycle = cycle_in_hand(job, step, stands)
    if cycle <= step.cycles:
        raise IllegalEntryError(
            f"Cycle {cycle} of {step.cycles} at step {step.id} is not complete."
        )


def _check_on(job: Working, step: PowerCycle, stands: StepState, entry: Entry) -> None:
    cycle = cycle_of(entry.body["part"])
    needed = number_now(job, step.off_for)
    passed = seconds(stands.part_moments[f"{cycle}:off"][1], entry.instant)
    if passed < needed:
        raise IllegalEntryError(
            f"The power was off for {passed:.1f} s; it has to be off for {needed:.1f} s.",
            "Leave it off until the timer has run down.",
        )
    if step.below is None:
        return
    bus = stands.parts.get(f"{cycle}:bus")
    if bus is None:
        raise IllegalEntryError("The bus voltage was not read while the power was off.")
    threshold = number_now(job, step.below)
    voltage = value_of(bus[VALUE])
    if isinstance(voltage, str | tuple) or not float(voltage) < threshold:
        raise IllegalEntryError(
            f"The bus was not seen below {threshold:g} V.", "Wait, and read it again."
        )


def _check_cells(job: Working, step: PowerCycle, entry: Entry) -> None:
    strange = set(entry.body["given"]) - set(covered(job, step))
    if strange:
        raise IllegalEntryError(f"{', '.join(sorted(strange))} is not read in this power cycle.")
