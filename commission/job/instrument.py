"""The instrument that a reading cites: what of it stands beside the number, for ever.

A given that was read with a registered instrument has, beside `typed` and `unit`, `instrument`:
`id, serial, label, due, state, range, percent, counts, count`, where `count` is one count in SI.
`range` and what follows are null where no range of the instrument holds the reading. So a record is
judged again without the register.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from commission.job.accuracy import Range, range_of
from commission.quantities import Reading

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from commission.job.state import Concession, Given, JobState
    from commission.job.working import Working
    from commission.procedure.model import Overdue

Standing = Literal["good", "overdue", "failed its check", "not registered"]
NOT_REGISTERED: Final = "not registered"
CITED: Final = "instrument"
"""The key of a given."""


@dataclass(frozen=True, slots=True)
class Citable:
    """An instrument as it stands at the moment of a reading."""

    id: str
    """Empty for one that is in no register."""
    kind: str
    label: str
    serial: str
    ranges: tuple[Range, ...] = ()
    due: str = ""
    """The last day of its calibration, YYYY-MM-DD; empty where none is asked of it."""
    state: Standing = "good"

    @property
    def is_good(self) -> bool:
        """Whether nothing speaks against it."""
        return self.state == "good"

    def __str__(self) -> str:
        label = "" if self.id and same_kind(self.label, self.kind) else self.label
        named = f"{self.id} {label}".strip()
        return f"{named}, serial {self.serial}" if self.serial else named

    @property
    def why_not(self) -> str:
        """Why it should not be used, as a sentence's end; empty where it is good."""
        match self.state:
            case "good":
                return ""
            case "overdue":
                return f"was due for calibration on {self.due}"
            case "failed its check":
                return "failed its last check"
            case "not registered":
                return "is not in the register"

    def cited(self, reading: Reading) -> dict[str, Any]:
        """Return what stands beside a reading taken with it."""
        used = range_of(self.ranges, reading)
        return {
            "id": self.id,
            "serial": self.serial,
            "label": self.label,
            "due": self.due,
            "state": self.state,
            "range": None if used is None else used.ends,
            "percent": None if used is None else used.percent,
            "counts": None if used is None else used.counts,
            "count": None if used is None else used.count(reading),
        }


def unregistered(kind: str) -> Citable:
    """Return what stands for an instrument that nobody registered, where others of its kind are."""
    return Citable("", kind, f"another {kind}", "", state="not registered")


def with_citation(given: Given, instrument: Citable) -> Given:
    """Return a given number with the instrument it was read with; anything else as it is."""
    if not isinstance(given, dict) or "typed" not in given:
        return given
    return {**given, CITED: instrument.cited(Reading(given["typed"], given["unit"]))}


def cited_in(piece: Mapping[str, Given]) -> Iterable[Mapping[str, Any]]:
    """Yield what the numbers of a piece cite."""
    for given in piece.values():
        if type(given) is dict and CITED in given:
            yield given[CITED]


def carried(old: Mapping[str, Given], new: dict[str, Given]) -> dict[str, Given]:
    """Return corrected givens with the instruments cited before: a slip of the pen, not the meter.

    Where the new number lies outside the range cited, the accuracy stated there still stands.
    """
    made = dict(new)
    for name, given in new.items():
        before = old.get(name)
        if isinstance(before, dict) and CITED in before and isinstance(given, dict):
            made[name] = given if CITED in given else {**given, CITED: before[CITED]}
    return made


def overdue_rule(state: JobState | Working, step: str) -> Overdue:
    """Return what a step's procedure says of an instrument that is not in calibration."""
    procedure = state.plan.procedure
    named = state.plan.planned(step).step.instrument
    for one in procedure.equipment:
        if one.id == named and one.overdue is not None:
            return one.overdue
    return procedure.overdue


def leave_for(state: JobState | Working, instrument: str, day: str) -> Concession | None:
    """Return the leave to read with an instrument on a day (YYYY-MM-DD), or None."""
    leave = state.instrument_leaves.get(instrument)
    return leave if leave is not None and day <= leave.expiry else None


def kind_read_with(state: JobState | Working, step: str) -> str:
    """Return the kind of instrument a step reads with; empty where it names none."""
    named = state.plan.planned(step).step.instrument
    return next((one.kind for one in state.plan.procedure.equipment if one.id == named), "")


def same_kind(one: str, other: str) -> bool:
    """Return whether two words are one kind of instrument: they differ by case or spaces."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()
