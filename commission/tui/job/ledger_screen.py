"""The settings ledger: each setting's way, from the number it came from to how it was left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ledger import LedgerLine, ledger
from commission.tui.job.lists import ListScreen

if TYPE_CHECKING:
    from commission.job.state import JobState

_NONE = "-"
_LABEL = 24


class LedgerScreen(ListScreen):
    """Every setting as found, intended, as written, as left, with how it fared."""

    about = (
        "Every setting of the controller: as found, intended, as written, as left, and its fate."
    )

    def __init__(self, state: JobState) -> None:
        """Show the ledger of `state`."""
        lines = ledger(state)
        cycles = max((len(line.left) for line in lines), default=0)
        left = [f"left {cycle}" for cycle in range(1, cycles + 1)]
        super().__init__(
            "Settings ledger",
            ("setting", "fate", "found", "intended", "written", *left),
            [_row(line, cycles) for line in lines],
            [story(line) for line in lines],
            practice=state.opened is not None and state.opened.practice,
        )


def _row(line: LedgerLine, cycles: int) -> list[str]:
    left = [*line.left, *[""] * (cycles - len(line.left))]
    values = (line.found, line.intended, line.written, *left)
    label = line.label if len(line.label) <= _LABEL else f"{line.label[: _LABEL - 1]}…"
    return [label, line.fate.value, *(value or _NONE for value in values)]


def story(line: LedgerLine) -> str:
    """Return a setting's way through the job, in words."""
    found = f"found {line.found or 'not read yet'}"
    source = f" (computed from {line.computed_from})" if line.computed_from else ""
    parts = [found, f"intended {line.intended or 'as found'}{source}"]
    if line.earlier:
        parts.append(f"left earlier as {', then '.join(line.earlier)}, so written again")
    parts.append(f"written {line.written or 'not yet'}")
    parts += [f"left {value} after cycle {at}" for at, value in enumerate(line.left, 1)]
    due = f"\nNow it is to be {line.due}: it has to be written again." if line.due else ""
    return f"{line.label}: {line.fate.value.upper()}\n{' → '.join(parts)}{due}"
