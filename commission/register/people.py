"""The rules of entries about people and their keys."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError
from commission.job.signature import fingerprint
from commission.register import authority
from commission.register.state import Key, Person
from commission.register.working import point_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.entry import Entry
    from commission.register.working import Working

ROLES: Final = ("technician", "lead", "witness", "auditor")
"""As `procedure.model.Role`; a test holds them equal, so that this loads nothing heavy."""
ID: Final = re.compile(r"[a-z][a-z0-9-]{1,31}")
INITIALS: Final = re.compile(r"\w{2,4}")
LONGEST_NAME: Final = 80


def added(register: Working, entry: Entry) -> None:
    """Take in a person with roles and a first key."""
    body = entry.body
    person, name, initials = body["id"], body["name"], body["initials"]
    _check_named(register, person, name, initials)
    authority.check_may_add(register.frozen(), entry)
    point = point_of(entry)
    key = _new_key(register, person, body["key"], entry)
    roles = _roles(body["roles"])
    register.people[person] = Person(
        person, name, initials, point, ((point, roles),), (key.fingerprint,)
    )
    register.keys[key.fingerprint] = key


def roles_changed(register: Working, entry: Entry) -> None:
    """Give a person other roles from here on."""
    person = register.person(entry)
    authority.check_lead_signed(register.frozen(), entry)
    roles = _roles(entry.body["roles"])
    if "lead" not in roles:
        _check_lead_remains(register, person)
    held = (*person.roles, (point_of(entry), roles))
    register.people[person.id] = replace(person, roles=held)


def retired(register: Working, entry: Entry) -> None:
    """Let a person go: the id stays taken, the key is valid no more."""
    person = register.person(entry)
    authority.check_lead_signed(register.frozen(), entry)
    _check_reason(entry)
    _check_lead_remains(register, person)
    register.people[person.id] = replace(person, retired=point_of(entry))
    for key in person.keys:
        _revoke(register, key, entry, "retired")


def key_renewed(register: Working, entry: Entry) -> None:
    """Revoke a person's key and put another in its place."""
    person, body = register.person(entry), entry.body
    _check_reason(entry)
    is_recovery = authority.check_may_renew(register.frozen(), entry)
    valid = [one for one in person.keys if register.keys[one].revoked is None]
    if body["revokes"] not in (valid or ("",)):
        raise IllegalEntryError(f"{person.id} has no valid key {str(body['revokes'])[:16]}.")
    for old in valid:
        _revoke(register, old, entry, body["reason"])
    key = _new_key(register, person.id, body["key"], entry)
    register.keys[key.fingerprint] = key
    register.people[person.id] = replace(
        person, keys=(*person.keys, key.fingerprint), failures=0, failed=None
    )
    if is_recovery:
        register.recoveries = (*register.recoveries, entry.seq)


def key_revoked(register: Working, entry: Entry) -> None:
    """Let a key be valid no more; the person gets another by being renewed."""
    person = register.person(entry)
    authority.check_lead_signed(register.frozen(), entry)
    _check_reason(entry)
    key = register.keys.get(entry.body["key"])
    if key is None or key.person != person.id or key.revoked is not None:
        raise IllegalEntryError(f"{person.id} has no valid key {str(entry.body['key'])[:16]}.")
    _check_lead_remains(register, person)
    _revoke(register, key.fingerprint, entry, entry.body["reason"])


def passphrase_failed(register: Working, entry: Entry) -> None:
    """Count a wrong passphrase."""
    person = register.person(entry)
    register.people[person.id] = replace(person, failures=person.failures + 1, failed=entry.instant)


def passphrase_accepted(register: Working, entry: Entry) -> None:
    """Begin to count wrong passphrases anew."""
    person = register.person(entry)
    if entry.body["failures"] != person.failures:
        raise IllegalEntryError(f"{person.id} had {person.failures} failures.")
    register.people[person.id] = replace(person, failures=0, failed=None)


RULES: Final[Mapping[str, Callable[[Working, Entry], None]]] = {
    "person_added": added,
    "roles_changed": roles_changed,
    "person_retired": retired,
    "key_renewed": key_renewed,
    "key_revoked": key_revoked,
    "passphrase_failed": passphrase_failed,
    "passphrase_accepted": passphrase_accepted,
}


def _check_named(register: Working, person: str, name: str, initials: str) -> None:
    if not ID.fullmatch(person) or not INITIALS.fullmatch(initials) or not _is_name(name):
        raise IllegalEntryError(f"{person!r}, {name!r}, {initials!r} do not name a person.")
    for one in register.people.values():
        if one.id == person or one.name.casefold() == name.casefold():
            raise IllegalEntryError(f"{one.id} ({one.name}) is taken since entry {one.added.seq}.")
        if one.is_active and one.initials.casefold() == initials.casefold():
            raise IllegalEntryError(f"The initials {initials} are those of {one.id}.")


def _is_name(name: str) -> bool:
    return 0 < len(name) <= LONGEST_NAME and name.isprintable() and name == " ".join(name.split())


def _new_key(register: Working, person: str, key: Mapping[str, Any], entry: Entry) -> Key:
    if fingerprint(key["public"]) != key["fingerprint"]:
        raise IllegalEntryError(f"The fingerprint in entry {entry.seq} is of another key.")
    if key["fingerprint"] in register.keys:
        raise IllegalEntryError(f"The key in entry {entry.seq} was registered before.")
    return Key(key["fingerprint"], key["public"], person, point_of(entry))


def _roles(named: list[str]) -> frozenset[str]:
    roles = frozenset(named)
    if not roles or not roles <= set(ROLES):
        raise IllegalEntryError(f"Roles: {', '.join(sorted(roles)) or 'none'}.")
    return roles


def _revoke(register: Working, key: str, entry: Entry, reason: str) -> None:
    if register.keys[key].revoked is None:
        register.keys[key] = replace(register.keys[key], revoked=point_of(entry), reason=reason)


def _check_reason(entry: Entry) -> None:
    if not entry.body["reason"]:
        raise IllegalEntryError(f"Entry {entry.seq} ({entry.kind}) gives no reason.")


def _check_lead_remains(register: Working, person: Person) -> None:
    leads = {one.id for one in register.frozen().leads()}
    if leads and leads <= {person.id}:
        raise IllegalEntryError(
            f"{person.id} is the only lead with a valid key; a register keeps one.",
            "Add another lead first.",
        )
