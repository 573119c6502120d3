"""Which piece of a step's answer may come next, and when the pieces make an answer.

Steps answered in pieces: series, sweep, read_back, write, power_cycle, dwell. A power cycle's
rules stand in `cycling`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError
from commission.job import cycling
from commission.job.elapsed import seconds
from commission.job.resolved import number_now
from commission.procedure.model import Dwell, PowerCycle, ReadBack, Series, Sweep, Write

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from typing import Any

    from commission.job.entry import Entry
    from commission.job.plan import FactStep, PlannedStep
    from commission.job.state import StepState
    from commission.job.working import Working
    from commission.procedure.model import Step

IN_PIECES: Final = frozenset({"series", "sweep", "read_back", "write", "power_cycle", "dwell"})
"""The kinds of step whose answer stands in `part` entries."""
_START: Final = "start"
_MOST_POINTS: Final = 60


def check_piece(job: Working, planned: PlannedStep, stands: StepState, entry: Entry) -> None:
    """Refuse a piece that cannot come now.

    Raises:
        IllegalEntryError: says which piece and why.
    """
    part, given = entry.body["part"], entry.body["given"]
    if part in stands.parts:
        _check_again(stands, part, entry.body)
    match planned.step:
        case Series():
            _check_next(stands, part, "run", planned.step.runs)
        case Sweep():
            _check_next(stands, part, "point", len(planned.step.points) or _MOST_POINTS)
        case ReadBack():
            _check_cells(part, given, settings_of(job, planned.step))
        case Write():
            _check_cells(part, given, planned.step.settings)
            _check_found(job, planned.step)
        case PowerCycle():
            cycling.check_piece(job, planned.step, stands, entry)
        case Dwell():
            if part != _START:
                raise IllegalEntryError(
                    f"Step {planned.id} has no piece {part!r}.", "It has start."
                )
        case _:
            raise IllegalEntryError(f"Step {planned.id} is answered in one piece.")


def check_whole(job: Working, planned: PlannedStep, stands: StepState, entry: Entry) -> None:
    """Refuse a conclusion before the pieces that it needs are there.

    A step may fail early, when there is at least one piece.

    Raises:
        IllegalEntryError: says what is missing.
    """
    if not stands.parts:
        raise IllegalEntryError(f"Step {planned.id} was not begun in this attempt.")
    if entry.body["verdict"] == "fail":
        return
    step = planned.step
    match step:
        case Series():
            _check_count(planned, stands, step.runs)
        case Sweep():
            _check_count(planned, stands, len(step.points) or step.at_least)
        case ReadBack() | Write():
            _check_all_read(planned, stands, settings_of(job, step))
        case PowerCycle():
            cycling.check_whole(job, step, stands)
        case Dwell():
            _check_waited(job, step, stands, entry)
        case _:
            raise IllegalEntryError(f"Step {planned.id} is answered in one piece.")


def settings_of(job: Working, step: Step | FactStep) -> tuple[str, ...]:
    """Return the settings a read-back or a write is about."""
    if isinstance(step, Write):
        return step.settings
    if isinstance(step, ReadBack):
        return tuple(job.plan.settings) if step.settings == "all" else step.settings
    return ()


def _check_again(stands: StepState, part: str, body: Mapping[str, Any]) -> None:
    """A piece given twice replaces the first and says why; a bus voltage may be read repeatedly."""
    if part.endswith(":bus") and "replaces" not in body:
        return
    if part == _START or part.endswith((":off", ":on")):
        raise IllegalEntryError(f"Piece {part} is a moment, and has been.", "Begin again instead.")
    if body.get("replaces") != stands.part_moments[part][0]:
        raise IllegalEntryError(
            f"Piece {part} was given in entry {stands.part_moments[part][0]}.",
            "To replace it, name that entry and say why.",
        )
    if not body.get("reason"):
        raise IllegalEntryError(f"Piece {part} is replaced without a reason.")


def _check_next(stands: StepState, part: str, word: str, most: int) -> None:
    if part in stands.parts:
        return
    number = len(stands.parts) + 1
    if part != f"{word}-{number}" or number > most:
        due = f"{word}-{number}" if number <= most else "none: all are given"
        raise IllegalEntryError(f"Piece {part!r} cannot come now; due is {due}.")


def _check_cells(part: str, given: Iterable[str], settings: Iterable[str]) -> None:
    if not part.startswith("cells-"):
        raise IllegalEntryError(f"Piece {part!r} is none of a settings table.", "They are cells-n.")
    strange = set(given) - set(settings)
    if strange:
        raise IllegalEntryError(f"{', '.join(sorted(strange))} is no setting of this step.")


def _check_found(job: Working, step: Write) -> None:
    unread = [
        name for name in step.settings
        if name not in job.settings or job.settings[name].found is None
    ]  # fmt: skip
    if unread:
        raise IllegalEntryError(
            f"{', '.join(unread)} cannot be written: not yet read as found.",
            "Read the settings back before anything is changed.",
        )


def _check_count(planned: PlannedStep, stands: StepState, needed: int) -> None:
    if len(stands.parts) < needed:
        raise IllegalEntryError(
            f"Step {planned.id} has {len(stands.parts)} of {needed} pieces; it is not complete."
        )


def _check_all_read(planned: PlannedStep, stands: StepState, settings: Iterable[str]) -> None:
    read = {name for cells in stands.parts.values() for name in cells}
    missing = [name for name in settings if name not in read]
    if missing:
        raise IllegalEntryError(f"Step {planned.id} has no value for {', '.join(missing)}.")


def _check_waited(job: Working, step: Dwell, stands: StepState, entry: Entry) -> None:
    needed = number_now(job, step.duration)
    waited = seconds(stands.part_moments[_START][1], entry.instant)
    if waited < needed:
        raise IllegalEntryError(
            f"{waited:.1f} s have passed at step {step.id}; it takes {needed:.1f} s.",
            "The timer cannot be cut short.",
        )
