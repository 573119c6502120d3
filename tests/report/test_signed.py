"""Sheets of a job that was really signed, with keys from the register of its bench."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.errors import UnsignedError
from commission.job import moves
from commission.procedure import load
from commission.record import enrolling
from commission.record.bench import Bench
from commission.record.enrolling import Wanted
from commission.report.document import Paragraph, Table
from commission.report.kinds import HANDOVER, RECORD, document_of
from commission.report.subject import subject_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from commission.record.session import Session
    from commission.report.document import Document
    from commission.report.subject import Subject

PHRASES: Final = {"ada": "correct horse battery", "ben": "another long phrase"}
STEPS: Final = """
procedure: short
revision: 1
title: Short job
purpose: To have something to sign.
stages:
  - id: only
    title: Only stage
    steps:
      - {id: lamp, kind: confirm, title: Light the lamp, hold: witness}
      - {id: done, kind: sign_off, title: Sign the work, meaning: done}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(tmp_path / "bench.db", "bench-1") as opened:
        ada = Wanted.of("Ada Nwosu", ["lead", "technician"], "ada")
        enrolling.add(opened, ada, PHRASES["ada"], None)
        opened.sitting.unlock("ada", PHRASES["ada"])
        lead = opened.sitting.signer("ada")
        enrolling.add(opened, Wanted.of("Ben Ito", ["witness"], "ben"), PHRASES["ben"], lead)
        opened.sitting.lock()
        yield opened


def signed(session: Session, *drafts: Any) -> None:
    try:
        session.record(drafts)
    except UnsignedError as needed:
        session.sitting.unlock(needed.person, PHRASES[needed.person])
        session.record(drafts)


def words(document: Document) -> str:
    return " ".join(one.text for one in document.blocks if isinstance(one, Paragraph))


@pytest.fixture
def subject(bench: Bench) -> Subject:
    people = {"ada": ("technician", "lead"), "ben": ("witness",)}
    with bench.start(load.loads(STEPS), {"frame": "FR-1"}, people, "ada") as session:

        def submit(step: str) -> None:
            given = {"value": "done"}
            state, now = session.state, session.now()
            signed(session, *moves.submit(state, step, given, "Ada Nwosu", now))

        submit("lamp")
        signed(session, moves.confirm_hold(session.state, "lamp", "Ben Ito"))
        submit("done")
        submit("release")
        job = session.job
    return subject_of(bench, job)


@pytest.mark.parametrize("kind", [HANDOVER, RECORD], ids=lambda kind: kind.slug)
def test_each_signature_names_signer_meaning_and_key_of_the_register(
    bench: Bench, subject: Subject, kind: Any
) -> None:
    document = document_of(kind, subject)
    found = next(one for one in document.blocks
                 if isinstance(one, Table) and one.id == "signatures")  # fmt: skip
    keys = {name: bench.book.register.person(name).keys[-1] for name in PHRASES}

    assert [(row[2], row[3], row[5]) for row in found.rows] == [
        ("Ben Ito (witness)", "confirmed, concurrent", f"ben, key {keys['ben'][:16]}…"),
        ("Ada Nwosu (technician)", "done", f"ada, key {keys['ada'][:16]}…"),
        ("Ada Nwosu (lead)", "released", f"ada, key {keys['ada'][:16]}…"),
    ]
    assert "The signatures hold against the register of this bench." in words(document)
    assert "nsigned" not in words(document)
