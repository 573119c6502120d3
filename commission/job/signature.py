"""What a signature says, as bytes: the text that is signed, and its place in an entry's body.

A signed entry's body ends with `signature`. The text that is signed has ten lines, each ended by
one newline:

    commission signature 1
    stream <the record>
    entry <the entry's number>
    over <digest of the entry before: the head at which it is signed; 64 zeros where none is>
    content <SHA-256 of the entry's line up to, without, its last `,"signature":`>
    meaning <one of MEANINGS>
    signer <id of the person in the register>
    key <SHA-256 of the public key: of its DER bytes, as openssl writes them>
    at <the entry's time>
    register <number and digest of the register's newest entry at that time>

`content` covers all that the entry says, `over` all that came before, so a signature holds in no
other record, at no other place and for no other words. The key and the value stand beside it, so
that openssl alone can check it; whose key it is, and whether it was valid, only the register says.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.errors import IllegalEntryError
from commission.job.entry import Digest

if TYPE_CHECKING:
    from commission.job.entry import Entry

FORMAT: Final = "commission signature 1"
MEANINGS: Final = (
    "done", "witnessed", "released", "confirmed", "refused", "conceded", "resumed", "corrected",
    "ended", "registered", "audited",
)  # fmt: skip
SIGNATURE: Final = "signature"
"""The key of the body; it comes last in it."""
MARK: Final = b',"signature":'
"""Where a line's content ends. Between tokens no text can fake it: a quote in a text is escaped."""
_KEYS: Final = ("format", "meaning", "signer", "key", "public", "register", "register_head",
                "value")  # fmt: skip
_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_SIGNER: Final = re.compile(r"[a-z][a-z0-9-]{0,47}")
_PUBLIC_START: Final = bytes.fromhex("302a300506032b6570032100")
"""Of an Ed25519 public key in DER (RFC 8410, 4); its 32 bytes follow."""
_RAW, _VALUE = 32, 64


@dataclass(frozen=True, slots=True)
class Signature:
    """A signature as it stands in a body."""

    meaning: str
    signer: str
    """Id of the person in the register."""
    key: Digest
    """Fingerprint of the key, see `fingerprint`."""
    public: str
    """The public key: DER in base64, which is the inside of its PEM file."""
    register: int
    """Number of the register's newest entry when it was signed."""
    register_head: Digest
    value: str = ""
    """64 bytes in base64; empty while it is not yet made."""

    def body(self) -> dict[str, Any]:
        """Return it as it is written."""
        return {
            "format": FORMAT, "meaning": self.meaning, "signer": self.signer, "key": self.key,
            "public": self.public, "register": self.register,
            "register_head": self.register_head, "value": self.value,
        }  # fmt: skip

    def text(self, entry: Entry, content: Digest) -> bytes:
        """Return the bytes that are signed for `entry`; see the module."""
        lines = (
            FORMAT,
            f"stream {entry.stream}",
            f"entry {entry.seq}",
            f"over {entry.prev}",
            f"content {content}",
            f"meaning {self.meaning}",
            f"signer {self.signer}",
            f"key {self.key}",
            f"at {entry.at}",
            f"register {self.register} {self.register_head}",
        )
        return "".join(f"{line}\n" for line in lines).encode()


def signature_of(entry: Entry) -> Signature | None:
    """Return the signature an entry carries, or None where it is unsigned.

    Says nothing of whether it holds.

    Raises:
        IllegalEntryError: there is something in its place that is no signature.
    """
    found = entry.body.get(SIGNATURE)
    if found is None:
        return None
    if not _is_made_right(found) or tuple(entry.body)[-1] != SIGNATURE:
        raise IllegalEntryError(f"The signature of entry {entry.seq} is not made as they are.")
    return Signature(*(found[key] for key in _KEYS[1:]))


def content_of(line: bytes) -> Digest:
    """Return the digest of what a signed line says, up to its signature.

    Raises:
        ValueError: the line has none.
    """
    return Digest(hashlib.sha256(line[: line.rindex(MARK)]).hexdigest())


def public_of(raw: bytes) -> str:
    """Return the 32 bytes of an Ed25519 public key as DER in base64."""
    return base64.b64encode(_PUBLIC_START + raw).decode()


def raw_of(public: str) -> bytes:
    """Return the 32 bytes that `public_of` wrote.

    Raises:
        ValueError: it is no such text.
    """
    der = base64.b64decode(public, validate=True)
    if not der.startswith(_PUBLIC_START) or len(der) != len(_PUBLIC_START) + _RAW:
        raise ValueError("not an Ed25519 public key")
    if base64.b64encode(der).decode() != public:
        raise ValueError("not as base64 is written")
    return der[len(_PUBLIC_START) :]


def fingerprint(public: str) -> Digest:
    """Return the SHA-256 of a public key's DER bytes.

    Raises:
        ValueError: `public` is no key in base64.
    """
    raw_of(public)
    return Digest(hashlib.sha256(base64.b64decode(public)).hexdigest())


def _is_made_right(found: object) -> bool:
    if not isinstance(found, Mapping) or tuple(found) != _KEYS:
        return False
    try:
        return (
            found["format"] == FORMAT
            and found["meaning"] in MEANINGS
            and bool(_SIGNER.fullmatch(found["signer"]))
            and type(found["register"]) is int
            and found["register"] >= 0
            and bool(_DIGEST.fullmatch(found["register_head"]))
            and fingerprint(found["public"]) == found["key"]
            and len(base64.b64decode(found["value"], validate=True)) == _VALUE
        )
    except (TypeError, ValueError, binascii.Error):
        return False
