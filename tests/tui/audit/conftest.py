"""A bench with a dozen practice-made jobs: one typed in later, one tampered with, one unsigned."""

from __future__ import annotations

import functools
import hashlib
import itertools
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job import moves
from commission.job.entry import GENESIS, Digest, Entry
from commission.job.plan import Plan, plan
from commission.practice import faults
from commission.practice.desk import TECHNICIAN
from commission.practice.physics.varied import sound_build
from commission.practice.populations import HANDS, job
from commission.practice.run import arriving, perform
from commission.procedure import load
from commission.record import enrolling
from commission.record.enrolling import Wanted
from commission.record.line import digest_of, to_line
from commission.record.reading import read
from commission.record.verifying import change_of
from commission.tui.audit.kept import Audits

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.procedure.load import Loaded
    from commission.record.bench import Bench
    from commission.record.store import Change

HAND: Final = {hand.name: hand for hand in HANDS}
NAMES: Final = ("Ada Nwosu", "Dag Holm", "Eve Marsh")
TAMPERED: Final = "20300112-BCDG"
TYPED_LATER: Final = "20300107-BCDK"
UNSIGNED: Final = "20310507-ZZZZ"
SIGNED_STEPS: Final = """
procedure: release-alone
revision: 1
title: Signing
purpose: To sign.
stages:
  - id: only
    title: The only stage
    steps:
      - {id: lamp, kind: confirm, title: Light the lamp}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


@functools.cache
def shipped(slug: str) -> tuple[Loaded, Plan]:
    own = Path(__file__).with_name(f"{slug}.yaml")
    path = own if own.exists() else next(at for name, _, at in load.shipped() if name == slug)
    loaded = load.load(path)
    assert not loaded.problems, loaded.problems
    assert loaded.procedure is not None
    return loaded, plan(loaded.procedure)


@functools.cache
def made(
    stream: str,
    hand: str = "honest",
    person: int = 0,
    number: int = 0,
    slug: str = "axle",
) -> tuple[Entry, ...]:
    """Return the entries of one simulated job, its opening embedding the procedure."""
    was, name = f"Person {person + 1} ({hand})", NAMES[person % len(NAMES)]
    entries = job(shipped(slug)[1], HAND[hand], person, number).entries
    return as_kept(entries, stream, slug, {was: name})


@functools.cache
def met_by_a_fault(stream: str, fault: str, slug: str = "axle") -> tuple[Entry, ...]:
    """Return the entries of one honest job on a bike with a fault."""
    found = faults.shipped().find(fault)
    assert found is not None
    planned = shipped(slug)[1]
    done = perform(planned, faults.apply(arriving(planned, sound_build(3)), found), 3)
    return as_kept(done.entries, stream, slug, {TECHNICIAN: "Dag Holm"})


def as_kept(
    entries: tuple[Entry, ...], stream: str, slug: str, names: dict[str, str]
) -> tuple[Entry, ...]:
    """Return entries as a bench keeps them: by people of these names, the procedure embedded."""
    loaded = shipped(slug)[0]
    assert loaded.procedure is not None
    own = {
        "id": loaded.procedure.procedure, "revision": loaded.procedure.revision,
        "digest": loaded.digest, "text": loaded.text,
    }  # fmt: skip
    body = {**entries[0].body, "job": stream, "procedure": own, "practice": False}
    body["people"] = [
        {**one, "name": names.get(one["name"], one["name"])} for one in body["people"]
    ]
    return tuple(
        replace(each, stream=stream, by=names.get(each.by, each.by),
                body=body if each.kind == "opened" else each.body)
        for each in entries
    )  # fmt: skip


def chained(entries: Iterable[Entry]) -> list[bytes]:
    """Return entries as the lines of a record, chained."""
    lines: list[bytes] = []
    prev: Digest = GENESIS
    for seq, entry in enumerate(entries, 1):
        lines.append(to_line(replace(entry, seq=seq, prev=prev)))
        prev = digest_of(lines[-1])
    return lines


@functools.cache
def projected(lines: tuple[bytes, ...]) -> tuple[str, Change | None]:
    """Return the name of a record that is whole, and what it changes in a store's lists."""
    found = read(lines)
    assert found.fault is None
    return found.entries[0].stream, change_of(found, digest_of(lines[-1]))


def keep(bench: Bench, lines: list[bytes], *, tamper: bool = False) -> str:
    """Put a record into the store; tampered with, one byte of a reading is another one."""
    stream, change = projected(tuple(lines))
    if tamper:
        at = next(n for n, line in enumerate(lines) if b'"step":"chain_slack"' in line)
        lines = [*lines[:at], lines[at].replace(b'"typed":"3', b'"typed":"2', 1), *lines[at + 1 :]]
    bench.store.append(stream, 1, lines, change)
    return stream


def phrase(person: str) -> str:
    return f"correct horse {person}"


def enrolled(bench: Bench) -> None:
    numbers = itertools.count()  # keys from a count and not from chance: pictures stay the same
    bench.keys._secret = lambda: hashlib.sha256(str(next(numbers)).encode()).digest()
    lead = None
    for name, person, roles in (("Cleo Ek", "cleo", ["technician", "lead"]),
                                ("Ben Ito", "ben", ["auditor"]),
                                ("Ada Nwosu", "ada", ["technician"])):  # fmt: skip
        enrolling.add(bench, Wanted.of(name, roles, person), phrase(person), lead)
        bench.sitting.unlock("cleo", phrase("cleo"))
        lead = bench.sitting.signer("cleo")
    bench.sitting.lock()


def signed_job(bench: Bench) -> str:
    """Do a short job that a lead releases with her signature."""
    people = {"cleo": ("technician", "lead")}
    with bench.start(load.loads(SIGNED_STEPS), {"frame": "OFR-77"}, people, "cleo") as session:
        for step in ("lamp", "release"):
            asked = moves.asking(session.state, step, session.now()).asks[0]
            bench.sitting.unlock("cleo", phrase("cleo"))
            given = {asked.name: "done"}
            session.record(moves.submit(session.state, step, given, "Cleo Ek", session.now()))
        bench.sitting.lock()
        return session.job


@pytest.fixture
def add_job() -> Callable[..., str]:
    """Put one more made job into a bench; `body` replaces parts of its opening."""

    def add(bench: Bench, stream: str, hand: str = "honest", slug: str = "axle",
            fault: str = "", **body: Any) -> str:  # fmt: skip
        entries = met_by_a_fault(stream, fault) if fault else made(stream, hand, slug=slug)
        opening = replace(entries[0], body={**entries[0].body, **body})
        return keep(bench, chained([opening, *entries[1:]]))

    return add


@pytest.fixture
def dozen(bench: Bench) -> Bench:
    """Twelve jobs of 2030, then people who are registered, a signed job and one that is not."""
    for number in range(4):
        for person, letter in ((0, "F"), (1, "G")):
            stream = f"203001{7 + 5 * number if number < 2 else 7 + number:02d}-BCD{letter}"
            lines = chained(made(stream, "honest", person, number))
            keep(bench, lines, tamper=stream == TAMPERED)
    keep(bench, chained(made(TYPED_LATER, "back-fills", 2, 0)))
    keep(bench, chained(made("20300111-BCDH", "hurries", 1, 7)))
    enrolled(bench)
    signed_job(bench)
    late = [
        replace(each, at=each.at.replace("2030-01-16", "2031-05-07"))
        for each in made(UNSIGNED, "honest", 0, 9)
    ]
    keep(bench, chained(late))
    return bench


@pytest.fixture
def open_audits(until: Any) -> Callable[..., Any]:
    """Go from Home to the audits, and wait until they are read."""

    async def opened(pilot: Any) -> Any:
        await until(pilot, lambda: pilot.app.bench is not None, "the bench")
        await pilot.press("f6")
        await until(pilot, lambda: isinstance(pilot.app.screen, Audits), "the audits")
        screen = pilot.app.screen
        said = screen.query_one("#said")
        await until(pilot, lambda: screen._lines or "F2 begins" in str(said.render()), "the list")
        return screen

    return opened
