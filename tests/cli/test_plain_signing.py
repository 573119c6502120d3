"""Line prompts in a job of registered people: holds and sign-offs are signed."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

from commission.cli.exits import Exit
from commission.cli.plain import run
from commission.cli.plain.job import drive
from commission.cli.plain.talk import Talk
from commission.procedure import load
from commission.record import enrolling
from commission.record.bench import Bench
from commission.record.enrolling import Wanted
from commission.record.verifying import examine_stream, known_register

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ADA, BEN = "correct horse battery", "another long phrase"
STEPS = """
procedure: plain
revision: 1
title: Plain job
purpose: To sign by prompts.
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
        enrolling.add(opened, Wanted.of("Ada Nwosu", ["lead", "technician"], "ada"), ADA, None)
        opened.sitting.unlock("ada", ADA)
        lead = opened.sitting.signer("ada")
        enrolling.add(opened, Wanted.of("Ben Ito", ["witness"], "ben"), BEN, lead)
        yield opened


def talk_of(*lines: str) -> Talk:
    return Talk(source=io.StringIO("".join(f"{line}\n" for line in lines)), sink=io.StringIO())


def told(talk: Talk) -> str:
    assert isinstance(talk.sink, io.StringIO)
    return talk.sink.getvalue()


def test_a_whole_job_is_signed_by_prompts(bench: Bench) -> None:
    people = {"ada": ("technician", "lead"), "ben": ("witness",)}
    talk = talk_of(
        "done",
        "BI", "yes", "not his phrase", BEN, "",
        "done", ADA, "4711",
        "done", "0815", "4711",
    )  # fmt: skip
    with bench.start(load.loads(STEPS), {"frame": "FR-1"}, people, "ada") as session:
        assert drive(session, "Ada Nwosu", talk) == Exit.DONE, told(talk)
        examined = examine_stream(bench.store, session.job, None, known_register(bench.store))
    assert examined.is_whole
    assert examined.signed is not None
    assert examined.signed.good == 3
    assert "Ben Ito signs: confirmed" in told(talk)
    assert "wrong try 1 in a row" in told(talk)
    assert "1 wrong passphrase was typed for you" in told(talk)
    for secret in (ADA, BEN, "4711", "not his phrase"):
        assert secret not in told(talk)


def test_an_empty_line_leaves_it_unsigned_and_unrecorded(bench: Bench) -> None:
    people = {"ada": ("technician", "lead"), "ben": ("witness",)}
    talk = talk_of("done", "ben", "yes", "")
    with bench.start(load.loads(STEPS), {"frame": "FR-1"}, people, "ada") as session:
        assert drive(session, "Ada Nwosu", talk) == Exit.UNFINISHED
        assert [entry.kind for entry in session.recent(2)] == ["answered", "left"]
    assert "Ben Ito did not sign; nothing was recorded." in told(talk)


@pytest.mark.parametrize("typed", ["", ADA], ids=["unsigned", "signed"])
def test_a_job_is_ended_for_good_only_with_a_signature(bench: Bench, typed: str) -> None:
    people = {"ada": ("technician", "lead"), "ben": ("witness",)}
    talk = talk_of("!end", "1", "no parts", "yes", typed, "", "!leave")
    with bench.start(load.loads(STEPS), {"frame": "FR-1"}, people, "ada") as session:
        drive(session, "Ada Nwosu", talk)
        assert session.state.outcome == ("abandoned" if typed else "")
        examined = examine_stream(bench.store, session.job, None, known_register(bench.store))
    assert "Ada Nwosu signs: ended" in told(talk)
    assert examined.signed is not None
    assert examined.signed.good == bool(typed)


def test_a_name_outside_the_register_confirms_nothing(bench: Bench) -> None:
    people = {"ada": ("technician", "lead")}
    talk = talk_of("done", "Zoe", "!leave")
    with bench.start(load.loads(STEPS), {"frame": "FR-1"}, people, "ada") as session:
        drive(session, "Ada Nwosu", talk)
        assert "Zoe" not in session.state.people
    assert "Zoe is not in the register" in told(talk)


def test_the_register_offers_the_people_of_a_new_job(bench: Bench) -> None:
    talk = talk_of("1", "FR-1", "trail bike", "", "Zoe", "1", "1", "!leave")
    assert run(str(bench.places.store), None, talk) == Exit.UNFINISHED
    assert "1. Ada Nwosu" in told(talk)
    assert "Type a number" in told(talk)
    (job,) = bench.jobs()
    state = bench.look(job.job)
    assert dict(state.ids) == {"Ada Nwosu": "ada", "Ben Ito": "ben"}
