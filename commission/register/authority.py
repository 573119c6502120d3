"""Who may change the register: a lead, by a signature, or where there is none the first one.

1. A change is signed by an active lead with the key that lead has at that point.
2. In a register in which no lead has a valid key, a new lead signs with the key that is added: the
   founding of a register.
3. A lead who is the only one that could sign may have a key renewed by the new key alone, where
   the old one is lost: a recovery, which the entry says and every verification repeats.
4. What concerns no person (instruments) goes unsigned as long as nobody is registered; a look at an
   instrument is signed by any active person, with the key that person has at that point.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.job.signature import signature_of

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.register.state import Register


def check_lead_signed(register: Register, entry: Entry) -> None:
    """Refuse a change that no lead signed; rule 1.

    Raises:
        IllegalEntryError: unsigned, by somebody else, or by no lead.
    """
    _check_signed_by(entry, _key_of_lead(register, entry.by))


def check_workshop_signed(register: Register, entry: Entry) -> None:
    """Refuse a change of what belongs to the workshop; rules 1 and 4.

    Raises:
        IllegalEntryError: unsigned where people are registered, signed where nobody is, or by
            another than a lead.
    """
    if register.has_people:
        check_lead_signed(register, entry)
    else:
        _check_unsigned(entry)


def check_person_signed(register: Register, entry: Entry) -> None:
    """Refuse what somebody says who is not registered, or not with the own key; rule 4.

    Raises:
        IllegalEntryError: unsigned where people are registered, signed where nobody is, or by
            another key than that of the person it is by.
    """
    if not register.has_people:
        _check_unsigned(entry)
        return
    person = register.people.get(entry.by)
    key = None if person is None or not person.is_active else register.key_now(person.id)
    if key is None:
        raise IllegalEntryError(f"{entry.by} is nobody with a valid key.")
    _check_signed_by(entry, key.fingerprint)


def check_may_add(register: Register, entry: Entry) -> None:
    """Refuse a person whom no lead added and who does not found the register; rules 1 and 2.

    Raises:
        IllegalEntryError: says which rule does not hold.
    """
    if register.leads():
        check_lead_signed(register, entry)
        return
    if "lead" not in entry.body["roles"] or entry.by != entry.body["id"]:
        raise IllegalEntryError(
            "The first person of a register is a lead, who adds himself or herself.",
            "Others come after.",
        )
    _check_signed_by(entry, entry.body["key"]["fingerprint"])


def check_may_renew(register: Register, entry: Entry) -> bool:
    """Refuse a key that no lead renewed; return whether it is a recovery. Rules 1 and 3.

    Raises:
        IllegalEntryError: says which rule does not hold.
    """
    if not entry.body["recovery"]:
        check_lead_signed(register, entry)
        return False
    person = entry.body["person"]
    others = [one.id for one in register.leads() if one.id != person]
    if others or entry.by != person or "lead" not in register.person(person).roles_now:
        raise IllegalEntryError(
            "Only a lead without another lead gets a new key without one.",
            f"Leads: {', '.join(others) or 'none'}.",
        )
    _check_signed_by(entry, entry.body["key"]["fingerprint"])
    return True


def _key_of_lead(register: Register, person: str) -> str:
    lead = next((one for one in register.leads() if one.id == person), None)
    key = None if lead is None else register.key_now(lead.id)
    if key is None:
        known = ", ".join(one.id for one in register.leads()) or "none"
        raise IllegalEntryError(
            f"{person} is no lead with a valid key; only a lead changes the register.",
            f"Leads: {known}.",
        )
    return key.fingerprint


def _check_unsigned(entry: Entry) -> None:
    if signature_of(entry) is not None:
        raise IllegalEntryError(f"Entry {entry.seq} is signed; nobody is registered.")


def _check_signed_by(entry: Entry, key: str) -> None:
    signature = signature_of(entry)
    if signature is None:
        raise IllegalEntryError(f"Entry {entry.seq} changes the register and is not signed.")
    if signature.signer != entry.by or signature.key != key:
        raise IllegalEntryError(
            f"Entry {entry.seq} is by {entry.by} and signed by {signature.signer} "
            f"with key {signature.key[:16]}…; expected is {key[:16]}…."
        )
    if signature.meaning != "registered":
        raise IllegalEntryError(f"Entry {entry.seq} is signed as {signature.meaning!r}.")
