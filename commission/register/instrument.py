"""One instrument of the workshop, and what it was at any time. Values only."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Self

from commission.job.instrument import Citable

if TYPE_CHECKING:
    from commission.job.accuracy import Range
    from commission.job.instrument import Standing
    from commission.register.state import Point


@dataclass(frozen=True, slots=True)
class Calibration:
    """A calibration as its certificate has it; the first one is what was said on adding."""

    at: Point
    """When it was entered."""
    on: str
    """The day it was done, YYYY-MM-DD; empty where only the next is known."""
    due: str
    """The last day it holds; empty where none is asked of this instrument."""
    certificate: str = ""


@dataclass(frozen=True, slots=True)
class Checked:
    """A look at a known value, by the workshop itself."""

    at: Point
    by: str
    good: bool
    text: str
    """Against what, and what it showed."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument, with everything that was said of it, in order."""

    id: str
    kind: str
    label: str
    serial: str
    added: Point
    ranges: tuple[tuple[Point, tuple[Range, ...]], ...]
    """Each set of ranges from its point on."""
    calibrations: tuple[Calibration, ...]
    checks: tuple[Checked, ...] = ()
    retired: Point | None = None
    reason: str = ""
    """Why it was retired."""

    @property
    def is_active(self) -> bool:
        """Whether it may be used as far as the register goes."""
        return self.retired is None

    @property
    def ranges_now(self) -> tuple[Range, ...]:
        """Its ranges after the last entry."""
        return self.ranges[-1][1]

    @property
    def due(self) -> str:
        """The last day its calibration holds; empty where none is asked."""
        return self.calibrations[-1].due

    @property
    def last_check(self) -> Checked | None:
        """The last look at a known value."""
        return self.checks[-1] if self.checks else None

    def at(self, at: str) -> Self | None:
        """Return it as it stood at a moment (as entries write them); None before it was added."""
        if at < self.added.at:
            return None
        gone = self.retired is not None and self.retired.at <= at
        return replace(
            self,
            ranges=tuple(one for one in self.ranges if one[0].at <= at),
            calibrations=tuple(one for one in self.calibrations if one.at.at <= at),
            checks=tuple(one for one in self.checks if one.at.at <= at),
            retired=self.retired if gone else None,
            reason=self.reason if gone else "",
        )

    def is_due(self, day: str) -> bool:
        """Return whether its calibration, as it stands, has run out on a day or moment."""
        return bool(self.due) and self.due < day[:10]

    @property
    def failed_its_check(self) -> bool:
        """Whether the last check was bad, and no calibration came after."""
        check = self.last_check
        return check is not None and not check.good and check.at.seq > self.calibrations[-1].at.seq

    def standing(self, day: str) -> Standing:
        """Return how it stands on a day or moment; a failed check outweighs a certificate."""
        if self.failed_its_check:
            return "failed its check"
        return "overdue" if self.is_due(day) else "good"

    def citable(self, at: str) -> Citable:
        """Return it as a reading cites it at a moment."""
        return Citable(
            self.id, self.kind, self.label, self.serial, self.ranges_now, self.due,
            self.standing(at),
        )  # fmt: skip
