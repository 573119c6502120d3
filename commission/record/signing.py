"""Putting signatures into lines: the one place where an entry and a key meet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from commission.job.signature import SIGNATURE, Signature, content_of
from commission.record.line import to_line

if TYPE_CHECKING:
    from commission.job.entry import Digest, Entry
    from commission.record.keys import Signer


@dataclass(frozen=True, slots=True)
class RegisterPlace:
    """The register's newest entry when something was signed."""

    entry: int
    head: Digest


def signed_line(entry: Entry, meaning: str, signer: Signer, register: RegisterPlace) -> bytes:
    """Return the line of `entry` with its signature at the end of the body.

    Raises:
        IllegalEntryError: the body cannot be written down.
    """
    said = {name: value for name, value in entry.body.items() if name != SIGNATURE}
    bare = replace(entry, body={**said, SIGNATURE: None})
    signature = Signature(
        meaning, signer.person, signer.key, signer.public, register.entry, register.head
    )
    # Signed is what stands in the line before the signature, which does not depend on it.
    value = signer.sign(signature.text(bare, content_of(to_line(bare))))
    return to_line(replace(entry, body={**said, SIGNATURE: replace(signature, value=value).body()}))
