"""Whether the signatures in a record hold.

For each signed entry, in this order (the first that does not hold is the fault):
1. The signature is made as signatures are, and the last thing in the body.
2. Its value is the Ed25519 signature of its text by the public key beside it. The text names the
   record, the place, what came before and what the entry says (`job.signature`).
3. It names no older entry of the register than a signature before it, or the job's opening.
Against a register, where there is one:
4. The register's entry that it names has the digest it names; so has the one the opening names.
5. The key is that person's in the register, and was valid then: by the entry named, and by time.
6. The person is the one the entry is by, and had the role that the signature takes.

Without a register this says that the record was signed by holders of the keys it names, but not
who they are.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError
from commission.job.signature import SIGNATURE, Signature, content_of, raw_of, signature_of
from commission.record.chain import Fault, Reason
from commission.record.register_book import STREAM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.job.entry import Digest, Entry
    from commission.register.state import Register


@dataclass(frozen=True, slots=True)
class KnownRegister:
    """A register that is whole, to hold signatures against."""

    register: Register
    heads: Sequence[Digest]
    """The digest of each entry, in order."""


@dataclass(frozen=True, slots=True)
class Signed:
    """How much of a record is signed; meaningful where it is whole."""

    good: int = 0
    """Signatures that hold."""
    unsigned: int = 0
    """Entries that could be signed and are not: of jobs without registered people."""
    against_register: bool = False
    """Whether the keys were held against a register."""
    recoveries: tuple[int, ...] = ()
    """Of a register: entries by which a lone lead got a new key without another lead."""


def count(entries: Sequence[Entry], *, against_register: bool) -> Signed:
    """Return how much of a record is signed, whose signatures were found to hold."""
    places = [entry.body[SIGNATURE] for entry in entries if SIGNATURE in entry.body]
    good = sum(place is not None for place in places)
    return Signed(good, len(places) - good, against_register)


def first_fault(
    lines: Sequence[bytes], entries: Sequence[Entry], known: KnownRegister | None
) -> Fault | None:
    """Return the first signature that does not hold, or None; see the module."""
    least = 0
    for line, entry in zip(lines, entries, strict=True):
        if entry.kind == "opened" and (place := entry.body.get("register")):
            least = int(place["entry"])
            if known is not None and not _stands_in(known, least, place["head"]):
                said = f"it was opened with entry {least} of another register"
                return Fault(entry.seq, Reason.SIGNATURE, said)
        if SIGNATURE not in entry.body:
            continue
        try:
            signature = signature_of(entry)
        except IllegalEntryError as error:
            return Fault(entry.seq, Reason.SIGNATURE, error.message)
        if signature is None:
            continue
        said = _wrong_in(line, entry, signature, least)
        if not said and known is not None and entry.stream != STREAM:
            said = _wrong_against(known, entry, signature)
        if said:
            return Fault(entry.seq, Reason.SIGNATURE, said)
        least = signature.register
    return None


def _wrong_in(line: bytes, entry: Entry, signature: Signature, least: int) -> str:
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        key = Ed25519PublicKey.from_public_bytes(raw_of(signature.public))
        key.verify(base64.b64decode(signature.value), signature.text(entry, content_of(line)))
    except (InvalidSignature, ValueError):
        return (
            f"the signature of {signature.signer} ({signature.meaning}) is not one over this "
            "entry at this place of this record"
        )
    if signature.register < least:
        return f"it names entry {signature.register} of the register; {least} was there already"
    return ""


def _wrong_against(known: KnownRegister, entry: Entry, signature: Signature) -> str:
    register, place, signer = known.register, signature.register, signature.signer
    if not _stands_in(known, place, signature.register_head):
        return f"the register has no entry {place} with the digest that is named"
    key = register.keys.get(signature.key)
    if key is None or key.person != signer:
        return f"key {signature.key[:16]}… is not {signer}'s in the register"
    if not (key.stood_at(place) and key.was_valid(entry.at)):
        until = "" if key.revoked is None else f" until {key.revoked.at}"
        return f"{signer}'s key {key.fingerprint[:16]}… was valid from {key.added.at}{until}"
    if register.person(signer).name != entry.by:
        return f"it is {signer}'s signature in an entry by {entry.by}"
    role = _role_of(entry)
    if role and role not in register.roles_at(signer, entry.at):
        return f"{signer} was no {role} then"
    return ""


def _stands_in(known: KnownRegister, place: int, head: str) -> bool:
    return 0 < place <= len(known.heads) and known.heads[place - 1] == head


def _role_of(entry: Entry) -> str:
    """Return the role that a job's entry was signed in, or an empty text."""
    if entry.kind == "corrected":
        return _LEAD
    body = entry.body.get("judged", {}) if entry.kind == "answered" else entry.body
    return str(body.get("role", ""))


_LEAD: Final = "lead"
