"""What the register's entries add up to, and what it answers about any time. Values only.

The register is one stream. Body shapes by kind:

person_added         `id, name, initials, roles, key {public, fingerprint}`
roles_changed        `person, roles`
person_retired       `person, reason`; the key is revoked with it
key_renewed          `person, reason, revokes` (fingerprint), `recovery`,
                     `key {public, fingerprint}`
key_revoked          `person, key` (fingerprint), `reason`
procedure_approved   `procedure` (id), `revision, title, digest`: from here on work is by this one
instrument_added     `id, kind, label, serial, ranges [{unit, low, high, percent, counts,
                     resolution}], due` (day or empty)
instrument_calibrated `instrument, on, due` (days), `certificate`
instrument_checked   `instrument, good, text`: a look at a known value, by the workshop itself
instrument_ranged    `instrument, ranges, reason`
instrument_retired   `instrument, reason`
passphrase_failed    `person, key`: a wrong passphrase, or short form, was typed
passphrase_accepted  `person, key, failures`: the right one, after so many wrong ones
clock_jump           as in a job

Those above the passphrases end with `signature`: that of the lead who made the change, over it. Of
instruments it is null in a workshop without registered people, and a check is signed by whoever
looked.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from commission.errors import RefusedError
from commission.job.instrument import same_kind

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.entry import Clock, Digest, Instant
    from commission.register.instrument import Instrument

STREAM: Final = "register"
"""The name of its stream."""


@dataclass(frozen=True, slots=True)
class Point:
    """A place in the register: an entry's number and time."""

    seq: int
    at: str


@dataclass(frozen=True, slots=True)
class Key:
    """A public key, from when until when it was valid."""

    fingerprint: Digest
    public: str
    """DER in base64."""
    person: str
    added: Point
    revoked: Point | None = None
    reason: str = ""
    """Why it was revoked."""

    def was_valid(self, at: str) -> bool:
        """Return whether it was valid at a moment (as entries write them)."""
        return self.added.at <= at and (self.revoked is None or at < self.revoked.at)

    def stood_at(self, seq: int) -> bool:
        """Return whether it was valid after the register's entry `seq`."""
        return self.added.seq <= seq and (self.revoked is None or seq < self.revoked.seq)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works here, or did."""

    id: str
    name: str
    """How records name the person; nobody else has or had it."""
    initials: str
    added: Point
    roles: tuple[tuple[Point, frozenset[str]], ...]
    """Each set of roles from its point on, in order."""
    keys: tuple[Digest, ...] = ()
    """Fingerprints, in order; the last one is valid unless it was revoked."""
    retired: Point | None = None
    failures: int = 0
    """Wrong passphrases since the last right one."""
    failed: Instant | None = None
    """When the last of them was typed."""

    @property
    def is_active(self) -> bool:
        """Whether the person has not been retired."""
        return self.retired is None

    @property
    def roles_now(self) -> frozenset[str]:
        """The roles after the register's last entry; none of somebody retired."""
        return self.roles[-1][1] if self.is_active else frozenset()


@dataclass(frozen=True, slots=True)
class Approved:
    """A revision of a procedure that a lead approved for work."""

    procedure: str
    revision: int
    title: str
    digest: Digest
    """Of the whole text, fragments resolved: as a job's opening names it."""
    at: Point
    by: str
    """Id of the lead."""


@dataclass(frozen=True, slots=True)
class Register:
    """The register after any number of entries; what is not asked for a time is as of the last."""

    seq: int = 0
    at: str = ""
    clock: Clock | None = None
    people: Mapping[str, Person] = field(default_factory=dict)
    """By id, in the order in which they were added, the retired too."""
    keys: Mapping[str, Key] = field(default_factory=dict)
    """By fingerprint, the revoked too."""
    recoveries: tuple[int, ...] = ()
    """Entries by which a lead without another lead got a new key."""
    approved: tuple[Approved, ...] = ()
    """Revisions of procedures, in the order in which they were approved."""
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    """By id, in the order in which they were added, the retired too."""

    @property
    def has_people(self) -> bool:
        """Whether work here is signed: somebody is or was registered."""
        return bool(self.people)

    def person(self, person: str) -> Person:
        """Return a person by id.

        Raises:
            RefusedError: nobody has or had that id.
        """
        found = self.people.get(person)
        if found is None:
            known = ", ".join(self.people) or "nobody yet"
            raise RefusedError(f"{person[:60]!r} is not in the register.", f"Registered: {known}.")
        return found

    def find(self, text: str) -> Person | None:
        """Return the person meant by an id, a name or initials of somebody active; or None."""
        wanted = " ".join(text.split()).casefold()
        for one in self.people.values():
            if wanted in {one.id, one.name.casefold()}:
                return one
        for one in self.active():
            if wanted == one.initials.casefold():
                return one
        return None

    def active(self, role: str = "") -> tuple[Person, ...]:
        """Return who is not retired, in order; with `role`, only those who have it."""
        return tuple(
            one
            for one in self.people.values()
            if one.is_active and (not role or role in one.roles_now)
        )

    def roles_at(self, person: str, at: str) -> frozenset[str]:
        """Return a person's roles at a moment; none before being added and from retiring on.

        Raises:
            RefusedError: nobody has or had that id.
        """
        found = self.person(person)
        if found.retired is not None and at >= found.retired.at:
            return frozenset()
        held = [roles for point, roles in found.roles if point.at <= at]
        return held[-1] if held else frozenset()

    def key_at(self, person: str, at: str) -> Key | None:
        """Return the key a person had at a moment, or None.

        Raises:
            RefusedError: nobody has or had that id.
        """
        keys = (self.keys[one] for one in reversed(self.person(person).keys))
        return next((key for key in keys if key.was_valid(at)), None)

    def key_now(self, person: str) -> Key | None:
        """Return the key a person has after the last entry, or None.

        Raises:
            RefusedError: nobody has or had that id.
        """
        keys = (self.keys[one] for one in reversed(self.person(person).keys))
        return next((key for key in keys if key.revoked is None), None)

    def was_valid(self, key: str, at: str) -> bool:
        """Return whether a key, by its fingerprint, was valid at a moment; no key never is."""
        found = self.keys.get(key)
        return found is not None and found.was_valid(at)

    def approved_at(self, procedure: str, at: str) -> Approved | None:
        """Return the revision of a procedure approved at a moment, or None where none was yet."""
        found = [one for one in self.approved if one.procedure == procedure and one.at.at <= at]
        return found[-1] if found else None

    def approved_now(self, procedure: str) -> Approved | None:
        """Return the approved revision of a procedure after the last entry, or None."""
        found = [one for one in self.approved if one.procedure == procedure]
        return found[-1] if found else None

    def instrument(self, name: str) -> Instrument:
        """Return an instrument by id.

        Raises:
            RefusedError: none has or had that id.
        """
        found = self.instruments.get(name)
        if found is None:
            known = ", ".join(self.instruments) or "none yet"
            raise RefusedError(
                f"{name[:60]!r} is no instrument of the register.", f"Registered: {known}."
            )
        return found

    def instrument_at(self, name: str, at: str) -> Instrument | None:
        """Return an instrument as it stood at a moment; None before it was added.

        Raises:
            RefusedError: none has or had that id.
        """
        return self.instrument(name).at(at)

    def is_due(self, name: str, at: str) -> bool:
        """Return whether an instrument's calibration, as known at a moment, had run out by then.

        Raises:
            RefusedError: none has or had that id.
        """
        stood = self.instrument_at(name, at)
        return stood is not None and stood.is_due(at)

    def instruments_of(self, kind: str) -> tuple[Instrument, ...]:
        """Return the instruments of a kind that were not retired, in order."""
        return tuple(
            one for one in self.instruments.values() if one.is_active and same_kind(one.kind, kind)
        )

    def leads(self) -> tuple[Person, ...]:
        """Return who can change the register: active leads with a valid key."""
        return tuple(one for one in self.active("lead") if self.key_now(one.id) is not None)
