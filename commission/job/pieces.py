"""Which piece of a step's answer may come next, and when the pieces make an answer.

Steps answered in pieces: series, sweep, read_back, write, power_cycle, dwell. A power cycle's
rules stand in `cycling`.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError
from commission.job import cycling
from commission.job.elapsed import seconds
from commission.job.resolved import number_now

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import StepState
    from commission.job.working import Working
    from commission.procedure.model import Dwell, ReadBack, Series, Sweep, Write

_START: Final = "start"
_MOST_POINTS: Final = 60


def check_piece(job: Working, planned: PlannedStep, stands: StepState, entry: Entry) -> None:
    """Refuse a piece that cannot come now.

    Raises:
        IllegalEntryError: says which piece and why.
    """
    check = _NEXT.get(planned.kind)
    if check is None:
        raise IllegalEntryError(f"Step {planned.id} is answered in one piece.")
    part = entry.body["part"]
    if part in stands.parts:
        _check_again(stands, part, entry.body)
    check(job, planned.step, stands, entry)


def check_whole(job: Working, planned: PlannedStep, stands: StepState, entry: Entry) -> None:
    """Refuse a conclusion before the pieces that it needs are there.

    A step may fail early, when there is at least one piece.

    Raises:
        IllegalEntryError: says what is missing.
    """
    if not stands.parts:
        raise IllegalEntryError(f"Step {planned.id} was not begun in this attempt.")
    if entry.body["verdict"] != "fail":
        _WHOLE[planned.kind](job, planned.step, stands, entry)


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


def _next_run(_: Working, step: Series, stands: StepState, entry: Entry) -> None:
    _check_next(stands, entry.body["part"], "run", step.runs)


def _next_point(_: Working, step: Sweep, stands: StepState, entry: Entry) -> None:
    _check_next(stands, entry.body["part"], "point", len(step.points) or _MOST_POINTS)


def _next_cells_read(job: Working, step: ReadBack, _: StepState, entry: Entry) -> None:
    named = job.plan.settings if step.settings == "all" else step.settings
    _check_cells(entry.body["part"], entry.body["given"], named)


def _next_cells_written(job: Working, step: Write, _: StepState, entry: Entry) -> None:
    _check_cells(entry.body["part"], entry.body["given"], step.settings)
    unread = [
        name for name in step.settings
        if name not in job.settings or job.settings[name].found is None
    ]  # fmt: skip
    if unread:
        raise IllegalEntryError(
            f"{', '.join(unread)} cannot be written: not yet read as found.",
            "Read the settings back before anything is changed.",
        )


def _next_start(_: Working, step: Dwell, __: StepState, entry: Entry) -> None:
    if entry.body["part"] != _START:
        raise IllegalEntryError(f"Step {step.id} has no piece but {_START}.")


def _check_next(stands: StepState, part: str, word: str, most: int) -> None:
    if part in stands.parts:
        return
    number = len(stands.parts) + 1
    if part != f"{word}-{number}" or number > most:
        due = f"{word}-{number}" if number <= most else "none: all are given"
        raise IllegalEntryError(f"Piece {part!r} cannot come now; due is {due}.")


def _check_cells(part: str, given: Iterable[str], settings: Container[str]) -> None:
    if not part.startswith("cells-"):
        raise IllegalEntryError(f"Piece {part!r} is none of a settings table.", "They are cells-n.")
    strange = [name for name in given if name not in settings]
    if strange:
        raise IllegalEntryError(f"{', '.join(strange)} is no setting of this step.")


def _whole_series(_: Working, step: Series, stands: StepState, __: Entry) -> None:
    _check_count(step.id, stands, step.runs)


def _whole_sweep(_: Working, step: Sweep, stands: StepState, __: Entry) -> None:
    _check_count(step.id, stands, len(step.points) or step.at_least)


def _whole_read_back(job: Working, step: ReadBack, stands: StepState, _: Entry) -> None:
    _check_all_read(step.id, stands, job.plan.settings if step.settings == "all" else step.settings)


def _whole_write(_: Working, step: Write, stands: StepState, __: Entry) -> None:
    _check_all_read(step.id, stands, step.settings)


def _whole_dwell(job: Working, step: Dwell, stands: StepState, entry: Entry) -> None:
    needed = number_now(job, step.duration)
    waited = seconds(stands.part_moments[_START][1], entry.instant)
    if waited < needed:
        raise IllegalEntryError(
            f"{waited:.1f} s have passed at step {step.id}; it takes {needed:.1f} s.",
            "The timer cannot be cut short.",
        )


def _check_count(step: str, stands: StepState, needed: int) -> None:
    if len(stands.parts) < needed:
        raise IllegalEntryError(
            f"Step {step} has {len(stands.parts)} of {needed} pieces; it is not complete."
        )


def _check_all_read(step: str, stands: StepState, settings: Iterable[str]) -> None:
    read = {name for cells in stands.parts.values() for name in cells}
    missing = [name for name in settings if name not in read]
    if missing:
        raise IllegalEntryError(f"Step {step} has no value for {', '.join(missing)}.")


_Check = Callable[["Working", Any, "StepState", "Entry"], None]
_NEXT: Final[Mapping[str, _Check]] = {
    "series": _next_run,
    "sweep": _next_point,
    "read_back": _next_cells_read,
    "write": _next_cells_written,
    "power_cycle": cycling.check_piece,
    "dwell": _next_start,
}
_WHOLE: Final[Mapping[str, _Check]] = {
    "series": _whole_series,
    "sweep": _whole_sweep,
    "read_back": _whole_read_back,
    "write": _whole_write,
    "power_cycle": cycling.check_whole,
    "dwell": _whole_dwell,
}
IN_PIECES: Final = frozenset(_NEXT)
"""The kinds of step whose answer stands in `part` entries."""
