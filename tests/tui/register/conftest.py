"""A bench with registered people; everybody's passphrase is known to the test alone."""

from __future__ import annotations

import hashlib
import itertools
from typing import TYPE_CHECKING

import pytest

from commission.record import enrolling
from commission.record.enrolling import Wanted

if TYPE_CHECKING:
    from commission.record.bench import Bench

PEOPLE = (
    ("Ada Nwosu", "ada", ["technician", "lead"]),
    ("Ben Ito", "ben", ["witness"]),
    ("Cleo Ek", "cleo", ["lead"]),
)


def phrase(person: str) -> str:
    return f"correct horse {person}"


@pytest.fixture
def staffed(bench: Bench) -> Bench:
    numbers = itertools.count()  # keys from a count and not from chance: pictures stay the same
    bench.keys._secret = lambda: hashlib.sha256(str(next(numbers)).encode()).digest()
    lead = None
    for name, person, roles in PEOPLE:
        enrolling.add(bench, Wanted.of(name, roles, person), phrase(person), lead)
        bench.sitting.unlock("ada", phrase("ada"))
        lead = bench.sitting.signer("ada")
    bench.sitting.lock()
    return bench
