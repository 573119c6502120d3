"""This bike's last visit: each setting as left then against as found now, differences first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.last_visit import SinceLine, since_last_visit
from commission.tui.job.lists import ListScreen

if TYPE_CHECKING:
    from commission.job.state import JobState
    from commission.record.workshop import LastVisit

_NONE = "-"
_LABEL = 30


class VisitScreen(ListScreen):
    """Settings as left and as found."""

    about = (
        "The settings of this bike as its last job left them, against those found now. What"
        " differs stands first: somebody, or something, changed it in between."
    )

    def __init__(self, visit: LastVisit, now: JobState) -> None:
        """Compare `visit` with the job `now`."""
        lines = since_last_visit(visit.state, now)
        super().__init__(
            f"Last visit {visit.at[:10]} · {visit.title} · {visit.job}",
            ("setting", "since then", "as left then", "as found now"),
            [_row(line) for line in lines],
            [_story(line) for line in lines],
        )


def _row(line: SinceLine) -> tuple[str, ...]:
    label = line.label if len(line.label) <= _LABEL else f"{line.label[: _LABEL - 1]}…"
    return label, line.since.value, line.left or _NONE, line.found or _NONE


def _story(line: SinceLine) -> str:
    left = line.left or "not known"
    return f"{line.label}: left then {left}, found now {line.found or 'not read yet'}."
