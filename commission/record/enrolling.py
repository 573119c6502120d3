"""Giving people keys: the key's file is durable before the register names it, or neither is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

from commission.record.keys import check_passphrase

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.job.entry import Draft
    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.register.state import Person, Register


@dataclass(frozen=True, slots=True)
class Wanted:
    """A person to be added."""

    person: str
    """The id."""
    name: str
    initials: str
    roles: tuple[str, ...]

    @classmethod
    def of(cls, name: str, roles: Sequence[str], person: str = "", initials: str = "") -> Self:
        """Return a person as typed, id and initials made from the name where they are empty."""
        from commission.register import moves

        called = " ".join(name.split())
        return cls(
            person or moves.id_from(called),
            called,
            initials or moves.initials_from(called),
            tuple(roles),
        )

    def check(self, register: Register) -> None:
        """Refuse what cannot be added, before anybody chooses a passphrase.

        Raises:
            RefusedError: says what and what would do.
        """
        from commission.errors import RefusedError
        from commission.register import moves

        moves.check_name(register, self.person, self.name, self.initials)
        roles = moves.check_roles(self.roles)
        if not register.leads() and "lead" not in roles:
            raise RefusedError(
                "The first person of a register is a lead.",
                "Add a lead first; others come after.",
                "roles",
            )


def add(bench: Bench, wanted: Wanted, passphrase: str, lead: Signer | None) -> Person:
    """Add a person with a new key, signed by `lead`; without one by that key, as the first lead.

    Raises:
        RefusedError: the person or the passphrase will not do; nothing is left of it.
        StoreError: it could not be written; nothing is left of it.
    """
    from commission.register import moves

    wanted.check(bench.book.register)
    used = check_passphrase(passphrase, wanted.person, wanted.name)

    def draft(register: Register, public: str, by: str) -> Draft:
        return moves.add(
            register, wanted.person, wanted.name, wanted.initials, wanted.roles, public, by
        )

    return _with_key(bench, wanted.person, used, lead, draft)


def renew(bench: Bench, person: str, reason: str, passphrase: str, lead: Signer | None) -> Person:
    """Give a person a new key in place of the old, signed by `lead`; without one, a recovery.

    Raises:
        RefusedError: as `moves.renew`, or the passphrase will not do; nothing is left of it.
        StoreError: it could not be written; nothing is left of it.
    """
    from commission.register import moves

    one = bench.book.register.person(person)
    if lead is None:
        moves.check_recovery(bench.book.register, one)
    used = check_passphrase(passphrase, person, one.name)

    def draft(register: Register, public: str, by: str) -> Draft:
        return moves.renew(register, person, reason, public, by, recovery=lead is None)

    return _with_key(bench, person, used, lead, draft)


def _with_key(
    bench: Bench,
    person: str,
    passphrase: str,
    lead: Signer | None,
    draft: Callable[[Register, str, str], Draft],
) -> Person:
    own = bench.keys.make(person, passphrase)
    signer = own if lead is None else lead
    try:
        register = bench.book.enter(lambda now: (draft(now, own.public, signer.person),), signer)
    except BaseException:
        bench.keys.discard(own)
        raise
    if lead is not None:
        bench.sitting.spend(lead.person)
    return register.person(person)
