"""What an audit that is being made has found so far, and how far it is. Pure."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

from commission.audit.finding import SEVERITIES
from commission.audit.shares import percent

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.audit.finding import Finding

MOST: Final = 300
"""Findings that are listed while jobs are checked; the audit has them all."""
_BAR: Final = 40
_SOON_S: Final = 2.0
"""Before that a rate says nothing."""
_MINUTE: Final = 60


class SoFar:
    """Findings as they come in, sorted by how grave they are."""

    def __init__(self) -> None:
        """Begin with none."""
        self._by_grade: dict[str, list[Finding]] = {grade: [] for grade in SEVERITIES}

    def add(self, found: Iterable[Finding]) -> None:
        """Take more findings."""
        for one in found:
            self._by_grade[one.severity].append(one)

    def worst(self) -> list[Finding]:
        """Return the worst of them, at most `MOST`; of one grade in the order they came in."""
        return [one for grade in SEVERITIES for one in self._by_grade[grade]][:MOST]

    def counted(self) -> str:
        """Return how many there are of each grade, in words."""
        counts = Counter({grade: len(found) for grade, found in self._by_grade.items()})
        total = counts.total()
        if not total:
            return "Nothing was found so far."
        parts = [f"{count} {grade}" for grade, count in counts.items() if count]
        more = f"; the worst {MOST} are listed" if total > MOST else ""
        return f"Found so far: {', '.join(parts)}{more}."


def progress(done: int, total: int, seconds: float) -> str:
    """Return how far it is: a bar, jobs done, and after a while rate and time left."""
    full = _BAR * done // max(1, total)
    said = f"{done} of {total} jobs, {percent(done, total)}"
    if done and seconds >= _SOON_S:
        rate = done / seconds
        said += f"   {rate:.0f} a second" if rate >= 1 else f"   {1 / rate:.0f} s a job"
        if done < total:
            said += f"   about {_left((total - done) / rate)} left"
    return f"{'#' * full}{'.' * (_BAR - full)}\n{said}"


def _left(seconds: float) -> str:
    if seconds < _MINUTE:
        return f"{max(1, round(seconds))} s"
    return f"{round(seconds / _MINUTE)} min"
