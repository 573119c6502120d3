"""The register while entries are being added to it; rules change this and nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.register.state import Point, Register

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.register.instrument import Instrument
    from commission.register.state import Person


class Working:
    """The fields of `Register`, open to change."""

    __slots__ = (
        "approved", "at", "clock", "instruments", "keys", "people", "recoveries", "seq",
    )  # fmt: skip

    def __init__(self, register: Register) -> None:
        """Open a copy of `register`."""
        self.seq = register.seq
        self.at = register.at
        self.clock = register.clock
        self.people = dict(register.people)
        self.keys = dict(register.keys)
        self.recoveries = register.recoveries
        self.approved = register.approved
        self.instruments = dict(register.instruments)

    def frozen(self) -> Register:
        """Return the register as a value."""
        return Register(
            self.seq, self.at, self.clock, dict(self.people), dict(self.keys), self.recoveries,
            self.approved, dict(self.instruments),
        )  # fmt: skip

    def person(self, entry: Entry) -> Person:
        """Return the person an entry is about.

        Raises:
            IllegalEntryError: there is nobody, or somebody retired.
        """
        named = entry.body["person"]
        found = self.people.get(named)
        if found is None:
            raise IllegalEntryError(f"There is no person {named!r} in the register.")
        if not found.is_active:
            raise IllegalEntryError(
                f"{named} was retired in entry {found.retired and found.retired.seq}."
            )
        return found

    def instrument(self, entry: Entry) -> Instrument:
        """Return the instrument an entry is about.

        Raises:
            IllegalEntryError: there is none, or it was retired.
        """
        named = entry.body["instrument"]
        found = self.instruments.get(named)
        if found is None:
            raise IllegalEntryError(f"There is no instrument {named!r} in the register.")
        if found.retired is not None:
            raise IllegalEntryError(f"{named} was retired in entry {found.retired.seq}.")
        return found


def point_of(entry: Entry) -> Point:
    """Return the place of an entry."""
    return Point(entry.seq, entry.at)
