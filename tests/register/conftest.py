"""A register in memory: entries chained and signed as the record does it, keys from seeds."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from commission.job.entry import GENESIS, Clock, Digest, Entry
from commission.job.signature import SIGNATURE, public_of
from commission.record.clocks import to_text
from commission.record.keys import Signer
from commission.record.line import digest_of, parse, to_line
from commission.record.signing import RegisterPlace, signed_line
from commission.register import moves
from commission.register.fold import advance
from commission.register.state import STREAM, Register

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.entry import Draft

START_US = 1_772_000_000_000_000


def signer_of(person: str, number: int = 1) -> Signer:
    """The key of a person that a test can make again."""
    seed = hashlib.sha256(f"{person} {number}".encode()).digest()
    private = Ed25519PrivateKey.from_private_bytes(seed)
    return Signer(person, public_of(private.public_key().public_bytes_raw()), private)


@dataclass
class Book:
    """A register that grows; `history` has it after each entry."""

    register: Register = field(default_factory=Register)
    head: Digest = GENESIS
    lines: list[bytes] = field(default_factory=list)
    history: list[Register] = field(default_factory=list)

    def entry(self, draft: Draft, signer: Signer | None) -> bytes:
        seq = self.register.seq + 1
        entry = Entry(
            STREAM, seq, to_text(START_US + seq * 60_000_000), Clock("boot-a", seq * 60 * 10**9),
            "bench-1", draft.by, draft.kind, None, 0, draft.body, self.head,
        )  # fmt: skip
        if signer is None or SIGNATURE not in draft.body:
            return to_line(entry)
        return signed_line(entry, "registered", signer, RegisterPlace(seq - 1, self.head))

    def enter(self, draft: Draft, signer: Signer | None = None) -> Register:
        line = self.entry(draft, signer)
        self.register = advance(self.register, parse(line))
        self.head = digest_of(line)
        self.lines.append(line)
        self.history.append(self.register)
        return self.register

    def add(self, person: str, *roles: str, by: str = "ada") -> Register:
        own = signer_of(person)
        lead = own if not self.register.leads() else self.signer(by)
        draft = moves.add(
            self.register, person, f"{person.title()} Test", person[:4], roles, own.public,
            lead.person,
        )  # fmt: skip
        return self.enter(draft, lead)

    def signer(self, person: str) -> Signer:
        """The key that is valid now."""
        return signer_of(person, len(self.register.people[person].keys))


@pytest.fixture
def book() -> Book:
    return Book()


@pytest.fixture(scope="session")
def new_book() -> type[Book]:
    return Book


@pytest.fixture(scope="session")
def key_of() -> Callable[..., Signer]:
    return signer_of


@pytest.fixture
def staffed(book: Book) -> Book:
    """Ada, lead and technician; Ben, witness; Cleo, lead."""
    book.add("ada", "lead", "technician")
    book.add("ben", "witness")
    book.add("cleo", "lead")
    return book
