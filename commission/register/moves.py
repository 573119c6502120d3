"""What may be entered in the register: from what a person asks for to a draft, or a refusal.

The drafts of changes have no signature yet: the record adds it. Nothing here sees a key's secret.
"""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Any, Final

from commission.errors import RefusedError
from commission.job.entry import Draft
from commission.job.signature import SIGNATURE, fingerprint
from commission.register.people import ID, INITIALS, LONGEST_NAME, ROLES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.register.state import Key, Person, Register

_SHORTEST_REASON: Final = 3


def id_from(name: str) -> str:
    """Return an id made from a name: `ada-nwosu`; may be too short to be one."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = "".join(letter if letter.isalnum() else " " for letter in plain).split()
    return "-".join(words)[:32].strip("-")


def initials_from(name: str) -> str:
    """Return initials made from a name: `AN`."""
    words = ["".join(filter(str.isalnum, word)) for word in name.split()]
    letters = "".join(word[:1] for word in words)
    return (letters if len(letters) > 1 else "".join(words)[:2]).upper()[:4]


def add(
    register: Register, person: str, name: str, initials: str, roles: Sequence[str], public: str,
    by: str,
) -> Draft:  # fmt: skip
    """Return the draft that adds a person; `by` is a lead, or the person where there is none.

    Raises:
        RefusedError: the id, the name, the initials or a role cannot be had.
    """
    called = " ".join(name.split())
    check_name(register, person, called, initials)
    given = check_roles(roles)
    if not register.leads() and "lead" not in given:
        raise RefusedError(
            "The first person of a register is a lead.",
            "Say --role lead; others come after.",
            "roles",
        )
    body = {
        "id": person, "name": called, "initials": initials, "roles": given,
        "key": _key(public),
    }  # fmt: skip
    return _change("person_added", by, body)


def check_name(register: Register, person: str, name: str, initials: str) -> None:
    """Refuse what cannot name a new person.

    Raises:
        RefusedError: says which of the three, and what would do.
    """
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise RefusedError(
            f"Name: {name[:40]!r} is none.",
            f"Use 1 to {LONGEST_NAME} characters that can be shown, on one line.",
            "name",
        )
    if not ID.fullmatch(person):
        raise RefusedError(
            f"Id: {person[:40]!r} is none." if person else "Id: none can be made from that name.",
            "Give one of 2 to 32 small letters, digits and hyphens, a letter first: ada-nwosu.",
            "person",
        )
    if not INITIALS.fullmatch(initials):
        raise RefusedError(
            f"Initials: {initials[:20]!r} are none.", "Use 2 to 4 letters.", "initials"
        )
    for one in register.people.values():
        gone = " and was retired" if not one.is_active else ""
        if one.id == person:
            raise RefusedError(
                f"Id: {person} is {one.name}'s{gone}; ids are never used again.",
                f"Take another id: {person[:30]}-2.",
                "person",
            )
        if one.name.casefold() == name.casefold():
            raise RefusedError(
                f"Name: {one.name} is registered as {one.id}{gone}.",
                "Two people of one name are told apart in it: add a second name or a number.",
                "name",
            )
        if one.is_active and one.initials.casefold() == initials.casefold():
            raise RefusedError(
                f"Initials: {initials} are {one.name}'s.", "Take others.", "initials"
            )


def check_roles(roles: Sequence[str]) -> list[str]:
    """Return roles without repeats, in the usual order.

    Raises:
        RefusedError: none is given, or one is none.
    """
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise RefusedError(
            f"Role: {unknown[0][:40] if unknown else 'none'} is not one.",
            f"Roles: {', '.join(ROLES)}.",
            "roles",
        )
    return [role for role in ROLES if role in roles]


def change_roles(register: Register, person: str, roles: Sequence[str], by: str) -> Draft:
    """Return the draft that gives a person other roles.

    Raises:
        RefusedError: an unknown person or role, nothing changes, or no lead would remain.
    """
    one, given = _active(register, person), check_roles(roles)
    if set(given) == one.roles_now:
        raise RefusedError(f"{one.name} has just these roles already.")
    if "lead" not in given:
        _lead_remains(register, one)
    return _change("roles_changed", by, {"person": person, "roles": given})


def retire(register: Register, person: str, reason: str, by: str) -> Draft:
    """Return the draft that lets a person go, for good.

    Raises:
        RefusedError: an unknown or retired person, no reason, or no lead would remain.
    """
    one = _active(register, person)
    _lead_remains(register, one)
    return _change("person_retired", by, {"person": person, "reason": _reason(reason)})


def renew(
    register: Register, person: str, reason: str, public: str, by: str, *, recovery: bool = False
) -> Draft:
    """Return the draft that revokes a person's key and puts another in its place.

    `recovery` is a lead's own way where the key is lost and no other lead could sign.

    Raises:
        RefusedError: an unknown or retired person, no reason, or a recovery where there is a lead.
    """
    one = _active(register, person)
    if recovery:
        check_recovery(register, one)
    key = register.key_now(person)
    body = {
        "person": person, "reason": _reason(reason),
        "revokes": "" if key is None else key.fingerprint, "recovery": recovery,
        "key": _key(public),
    }  # fmt: skip
    return _change("key_renewed", by, body)


def check_recovery(register: Register, person: Person) -> None:
    """Refuse a recovery to anybody but a lead without another lead.

    Raises:
        RefusedError: says who can renew the key instead.
    """
    others = [lead.id for lead in register.leads() if lead.id != person.id]
    if others:
        raise RefusedError(
            f"Another lead can renew the key: {', '.join(others)}.", "Say --by and that id."
        )
    if "lead" not in person.roles_now:
        raise RefusedError(f"{person.name} is no lead.", "Only a lead's key is recovered so.")


def revoke(register: Register, person: str, reason: str, by: str) -> Draft:
    """Return the draft that revokes a person's key at once, with none in its place yet.

    Raises:
        RefusedError: no such key, no reason, or no lead would remain.
    """
    one = _active(register, person)
    key = register.key_now(person)
    if key is None:
        raise RefusedError(f"{one.name} has no valid key.")
    _lead_remains(register, one)
    body = {"person": person, "key": key.fingerprint, "reason": _reason(reason)}
    return _change("key_revoked", by, body)


def failed(person: Person, key: Key) -> Draft:
    """Return the draft saying that a wrong passphrase was typed."""
    body = {"person": person.id, "key": key.fingerprint}
    return Draft("passphrase_failed", person.id, body=body)


def accepted(person: Person, key: Key) -> Draft:
    """Return the draft saying that the right passphrase came after wrong ones."""
    body = {"person": person.id, "key": key.fingerprint, "failures": person.failures}
    return Draft("passphrase_accepted", person.id, body=body)


def _change(kind: str, by: str, body: dict[str, Any]) -> Draft:
    return Draft(kind, by, body={**body, SIGNATURE: None})


def _key(public: str) -> dict[str, str]:
    return {"public": public, "fingerprint": fingerprint(public)}


def _active(register: Register, person: str) -> Person:
    one = register.person(person)
    if one.retired is not None:
        raise RefusedError(f"{one.name} was retired on {one.retired.at[:10]}.", "That is for good.")
    return one


def _lead_remains(register: Register, person: Person) -> None:
    if [one.id for one in register.leads()] == [person.id]:
        raise RefusedError(
            f"{person.name} is the only lead with a valid key.", "Add another lead first."
        )


def _reason(reason: str) -> str:
    said = " ".join(reason.split())
    if len(said) < _SHORTEST_REASON:
        raise RefusedError("Reason: nothing was entered.", "Say in a few words why.", "reason")
    return said[:500]
