"""How a workshop's instruments stand: overdue, failed their check, due soon, or good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from commission.job.instrument import Standing
    from commission.register.instrument import Instrument
    from commission.register.state import Register

SOON_DAYS: Final = 30
"""Days before its last day from which an instrument is due soon. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class InstrumentDue:
    """One instrument in use, and how it stands on a day."""

    instrument: Instrument
    standing: Standing
    is_soon: bool
    """It is good, and its last day is at most `SOON_DAYS` ahead."""

    @property
    def needs_care(self) -> bool:
        """Whether it is not to be read with, or will not be before long."""
        return self.standing != "good" or self.is_soon

    @property
    def says(self) -> str:
        """How it stands, in words; what may not be read with stands out."""
        if self.standing != "good":
            return f"! {self.standing.upper()}"
        return "due soon" if self.is_soon else "good"

    def to_json(self) -> dict[str, Any]:
        """Return it for programs."""
        one = self.instrument
        return {
            "id": one.id, "kind": one.kind, "label": one.label, "serial": one.serial,
            "due": one.due or None, "standing": self.standing, "due_soon": self.is_soon,
        }  # fmt: skip


def instruments_due(register: Register | None, day: str) -> tuple[InstrumentDue, ...]:
    """Return the instruments in use as they stand on a day (YYYY-MM-DD), the first due on top.

    Those of which no calibration is asked are last, retired ones are left out; without a register
    there are none.
    """
    last = (date.fromisoformat(day) + timedelta(days=SOON_DAYS)).isoformat()
    every = () if register is None else register.instruments.values()
    active = sorted((one for one in every if one.is_active), key=lambda one: one.due or "9")
    return tuple(
        InstrumentDue(one, one.standing(day), one.standing(day) == "good" and "" < one.due <= last)
        for one in active
    )
