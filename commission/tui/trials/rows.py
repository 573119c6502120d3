"""What the table of trials shows: which rows there are, their cells, and all of one row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.practice.matrix import Matrix, Row
    from commission.practice.trial import Trial

ALL: Final = "all"
KINDS: Final = (ALL, "escaped", "stuck", "caught", "mended", "beyond", "sound")
"""What the table can be narrowed to, in the order of the key that goes through them."""
HEADINGS: Final = ("outcome", "fault", "severity", "at step", "found")
_NAME: Final = 32
"""Characters of a fault's name that are shown."""
_SIGNS: Final = {
    "caught": "+", "mended": "+", "sound": "+", "escaped": "!", "stuck": "?", "false alarm": "!",
    "beyond": "-",
}  # fmt: skip
"""A sign beside the word, for those who skim."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One row of the table."""

    kind: str
    """One of `KINDS`."""
    cells: tuple[str, ...]
    detail: str
    """All of it, in lines."""


def shown(matrix: Matrix, pilot: str, kind: str = ALL, typed: str = "") -> tuple[Shown, ...]:
    """Return the rows of a pilot, narrowed to a kind and to those that have every typed word."""
    words = typed.casefold().split()
    rows = (*_faults(matrix, pilot), *_sound(matrix))
    return tuple(
        row
        for row in rows
        if (row.kind == kind or (kind == ALL and row.kind != "sound"))
        and all(word in f"{' '.join(row.cells)} {row.detail}".casefold() for word in words)
    )


def counts(matrix: Matrix, pilot: str) -> dict[str, int]:
    """Return how many rows there are of each kind that occurs."""
    rows = (*_faults(matrix, pilot), *_sound(matrix))
    found = {kind: sum(row.kind == kind for row in rows) for kind in KINDS[1:]}
    faults = sum(count for kind, count in found.items() if kind != "sound")
    return {ALL: faults} | {kind: count for kind, count in found.items() if count}


def summary(matrix: Matrix, pilot: str) -> str:
    """Return the figures of a pilot as one line."""
    sums = matrix.figures(pilot)
    alarms = f"   sound bikes stopped {len(matrix.alarms)} of {len(matrix.sound)}"
    return (
        f"{sums.caught} of {sums.faults} caught   "
        f"can injure, in time {sums.early} of {sums.can_injure}"
        f"{alarms if matrix.sound else ''}"
    )


def _grave_first(row: Row) -> tuple[int, bool]:
    order = ("escaped", "stuck", "caught", "mended", "beyond")
    return order.index(_kind(row)), row.early


def _short(name: str) -> str:
    return name if len(name) <= _NAME else f"{name[: _NAME - 1]}…"


def _kind(row: Row) -> str:
    if row.fault.bench is not None:
        return "beyond"
    return {"remedied": "mended", "no effect": "mended"}.get(row.outcome, row.outcome)


def _faults(matrix: Matrix, pilot: str) -> Iterator[Shown]:
    for row in sorted(matrix.of(pilot), key=_grave_first):
        kind = _kind(row)
        steps = ", ".join(name for name, _ in row.steps[:2])
        late = "" if row.early or row.fault.severity != "can injure" or not row.good else " (late)"
        cells = (
            f"{_SIGNS.get(kind, ' ')} {kind}", _short(row.fault.id), row.fault.severity,
            f"{steps or '-'}{late}", row.where or "-",
        )  # fmt: skip
        yield Shown(kind, cells, _detail(matrix, row))


def _sound(matrix: Matrix) -> Iterator[Shown]:
    for trial in matrix.sound:
        found = trial.verdict.found
        outcome = trial.verdict.outcome
        cells = (f"{_SIGNS.get(outcome, ' ')} {outcome}", f"sound bike {trial.seed}", "-",
                 found.step or "-", found.where or "-")  # fmt: skip
        said = found.because or "; ".join(trial.verdict.met) or "Released, and sound."
        yield Shown("sound", cells, said)


def _detail(matrix: Matrix, row: Row) -> str:
    fault = row.fault
    lines = [f"{fault.title}.", f"For the rider: {fault.effect}", f"Noticed by: {fault.noticed}"]
    if fault.bench is not None:
        lines.append(f"On a bench: {fault.bench}")
    lines += dict.fromkeys(_story(matrix, trial) for trial in row.trials)
    return "\n".join(lines)


def _story(matrix: Matrix, trial: Trial) -> str:
    verdict = trial.verdict
    found = verdict.found
    bike = f"Bike {trial.seed}: {verdict.outcome}"
    if verdict.outcome == "escaped":
        return f"{bike}. {' '.join(verdict.met)}"
    if not found.step:
        return f"{bike}; every step passed."
    title = matrix.steps.get(found.step, found.step)
    harm = f" Before that: {', '.join(found.harm)}." if found.harm else ""
    return f"{bike} {found.where}, at “{title}”: {found.because}{harm}"
