"""An audit kept as a stream of its own: begun, remarked on, answered, closed with a signature."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit import run as runs
from commission.audit.book import AuditBook, Begun
from commission.audit.choose import Selection, population
from commission.audit.state import AuditState, advance, replay
from commission.errors import DamagedError, IllegalEntryError, RefusedError, UnsignedError
from commission.record import enrolling
from commission.record.bench import Bench
from commission.record.enrolling import Wanted
from commission.record.line import digest_of, parse
from commission.record.reading import read
from commission.record.verifying import change_of, examine_stream, known_register

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from commission.audit.finding import Finding

AS_OF = "2031-01-01T00:00:00.000000Z"
PHRASE = "correct horse battery "


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setenv("COMMISSION_HOME", str(tmp_path))
    monkeypatch.delenv("COMMISSION_STORE", raising=False)
    with Bench.open() as opened:
        yield opened


@pytest.fixture
def stored(bench: Bench, record: Callable[..., Any]) -> Bench:
    """Three honest jobs and one copied one."""
    for hand, person, number in (("honest", 0, 0), ("honest", 0, 1), ("honest", 1, 0),
                                 ("copies", 2, 0)):  # fmt: skip
        lines = record("gearing-change", hand, person=person, number=number).lines()
        found = read(lines)
        job = found.entries[0].stream
        bench.store.append(job, 1, lines, change_of(found, digest_of(lines[-1])))
    return bench


def enrolled(bench: Bench) -> None:
    lead = None
    for name, roles in (("Ada Nwosu", ["lead"]), ("Ben Ito", ["auditor"]),
                        ("Cleo Ek", ["technician"])):  # fmt: skip
        person = name.split()[0].lower()
        enrolling.add(bench, Wanted.of(name, roles, person), PHRASE + person, lead)
        bench.sitting.unlock("ada", PHRASE + "ada")
        lead = bench.sitting.signer("ada")
    bench.sitting.lock()


def begun(bench: Bench) -> tuple[Begun, list[Finding]]:
    chosen = population(bench.store, Selection())
    jobs = [line.job for line in chosen.lines]
    found = runs.run(bench.store, jobs, AS_OF)
    looked = [{"job": one.job, "entries": one.entries, "head": one.head} for one in found.looked]
    of = {"jobs": len(jobs), "digest": chosen.digest}
    return Begun("Yearly", Selection().to_json(), of, None, looked, quick=False), found.findings


def opened(bench: Bench, by: str = "Ola Brandt") -> tuple[AuditBook, str, AuditState]:
    book = AuditBook(bench)
    what, findings = begun(bench)
    state = book.begin(what, findings, by)
    assert state.opened is not None
    return book, state.opened.audit, state


def test_an_audit_keeps_what_was_found_and_reads_back_the_same(stored: Bench) -> None:
    book, audit, state = opened(stored)
    assert {one.check for one in state.findings.values()} >= {"short-steps", "witness-delay"}
    assert book.audits() == (audit,)
    assert book.read(audit) == state
    assert examine_stream(stored.store, audit).is_whole


def test_findings_are_answered_and_the_audit_is_closed_for_good(stored: Bench) -> None:
    book, audit, state = opened(stored)
    number = next(iter(state.findings))
    book.answer(audit, number, "The meter was read for two steps at once.", "Person 3 (copies)")
    book.remark(audit, "Seen at the bench.", job="20300107-BCDH", seq=24, finding=number)
    closed = book.close(audit, "Taught again.")
    assert closed.closed is not None
    assert not closed.closed.is_signed
    with pytest.raises(IllegalEntryError, match="closed"):
        book.remark(audit, "One thing more.")


def test_where_people_are_registered_an_auditor_signs_the_end(stored: Bench) -> None:
    enrolled(stored)
    book, audit, _ = opened(stored, "Ben Ito")
    with pytest.raises(UnsignedError):
        book.close(audit, "Nothing to be done.")
    stored.sitting.unlock("ben", PHRASE + "ben")
    closed = book.close(audit, "Nothing to be done.").closed
    assert closed is not None
    assert closed.is_signed
    examined = examine_stream(stored.store, audit, known=known_register(stored.store))
    assert examined.is_whole
    assert examined.signed is not None
    assert examined.signed.good == 1


def test_who_is_neither_auditor_nor_lead_does_not_audit(stored: Bench) -> None:
    enrolled(stored)
    with pytest.raises(RefusedError, match="neither auditor nor lead") as refused:
        opened(stored, "Cleo Ek")
    assert "Ben Ito" in refused.value.hint
    assert AuditBook(stored).auditor("AN") == ("Ada Nwosu", "ada", "lead")


@pytest.mark.parametrize("act", [
    lambda book, audit: book.answer(audit, 99, "yes, so", "Ada"),
    lambda book, audit: book.remark(audit, " "),
    lambda book, audit: book.remark(audit, "seen", job="20300101-ZZZZ"),
    lambda book, audit: book.close(audit, ""),
    lambda book, audit: book.read("audit-20300101-ZZZZ"),  # noqa: ARG005  one shape for all
])  # fmt: skip
def test_what_makes_no_sense_is_refused_and_nothing_is_written(
    stored: Bench, act: Callable[[AuditBook, str], object]
) -> None:
    book, audit, state = opened(stored)
    with pytest.raises(RefusedError):
        act(book, audit)
    assert book.read(audit) == state


def test_an_audit_with_an_entry_gone_is_no_legal_audit(stored: Bench) -> None:
    _, audit, _ = opened(stored)
    entries = [parse(line) for line in stored.lines(audit)]
    del entries[1]
    with pytest.raises(IllegalEntryError):
        replay(entries)
    first = advance(AuditState(), entries[0])
    with pytest.raises(IllegalEntryError):
        advance(first, replace(entries[1], seq=2, kind="answered"))
    with pytest.raises(IllegalEntryError):
        advance(first, replace(entries[1], seq=2, body={}))


@pytest.mark.parametrize(("place", "odd"), [
    (0, {"population": None}), (0, {"population": {"jobs": "all", "digest": ""}}),
    (0, {"sample": {"plan": "count=1"}}), (0, {"took_part": "all"}),
    (0, {"jobs": [{"job": 1, "entries": 1, "head": ""}]}),
    (1, {"text": {"a": 1}}), (1, {"entries": ["one"]}), (1, {"check": None}),
])  # fmt: skip
def test_an_entry_of_another_shape_is_in_no_legal_audit(
    stored: Bench, place: int, odd: dict[str, Any]
) -> None:
    _, audit, _ = opened(stored)
    entries = [parse(line) for line in stored.lines(audit)]
    entries[place] = replace(entries[place], body={**entries[place].body, **odd})
    with pytest.raises(IllegalEntryError):
        replay(entries)


def test_a_damaged_audit_says_so(stored: Bench, tmp_path: Path) -> None:
    import sqlite3

    book, audit, _ = opened(stored)
    with sqlite3.connect(tmp_path / "bench.db") as meddler:
        meddler.execute("DROP TRIGGER IF EXISTS entry_no_update")
        for (name,) in meddler.execute("SELECT name FROM sqlite_master WHERE type='trigger'"):
            meddler.execute(f'DROP TRIGGER "{name}"')
        meddler.execute(
            "UPDATE entry SET line = replace(line, 'REVIEW', 'X') || ' ' "
            "WHERE stream = ? AND seq = 2",
            (audit,),
        )
    with pytest.raises(DamagedError):
        book.read(audit)


def test_several_processes_find_what_one_finds_in_the_same_order(stored: Bench) -> None:
    jobs = [line.job for line in population(stored.store, Selection()).lines]
    told: list[int] = []
    alone = runs.run(stored.store, jobs * 9, AS_OF, workers=1)
    together = runs.run(stored.store, jobs * 9, AS_OF, workers=2, progress=told.append)
    assert together == alone
    assert told == list(range(1, 9 * len(jobs) + 1))


def test_a_population_is_chosen_by_what_is_asked(stored: Bench) -> None:
    def jobs(**asked: Any) -> set[str]:
        return {line.job for line in population(stored.store, Selection(**asked)).lines}

    everything = jobs()
    assert len(everything) == 4
    assert jobs(technician="Person 3 (copies)") == {"20300107-BCDH"}
    assert jobs(jobs=("20300107-BCDF",)) == {"20300107-BCDF"}
    assert jobs(since="2030-01-08") == {"20300108-BCDF"}
    assert jobs(until="2030-01-07") == everything - {"20300108-BCDF"}
    assert jobs(procedure="gearing-change", outcome="released") == everything
    for nothing in ({"outcome": "open"}, {"procedure": "x"}, {"bike": "no such"},
                    {"technician": "Person"}, {"jobs": ("20300101-ZZZZ",)}):  # fmt: skip
        with pytest.raises(RefusedError):
            jobs(**nothing)
    with pytest.raises(RefusedError, match="no day"):
        Selection(since="yesterday")
    with pytest.raises(RefusedError, match="No day lies"):
        Selection(since="2030-02-01", until="2030-01-01")


def test_a_procedure_and_an_outcome_are_meant_in_any_case(stored: Bench) -> None:
    chosen = population(stored.store, Selection(procedure="Gearing-Change", outcome="Released"))
    assert len(chosen.lines) == 4


def test_what_no_job_is_like_is_refused_with_what_there_is(stored: Bench) -> None:
    with pytest.raises(RefusedError, match="In none of 4 jobs 'Person' made an entry"):
        population(stored.store, Selection(technician="Person"))
    with pytest.raises(RefusedError) as refused:
        population(stored.store, Selection(procedure="x"))
    assert refused.value.hint == "Procedures of the jobs here: gearing-change."


def test_the_digest_of_a_population_is_a_shell_sum(stored: Bench) -> None:
    import hashlib

    chosen = population(stored.store, Selection())
    text = "".join(f"{line.job} {line.head}\n" for line in chosen.lines)
    assert chosen.digest == hashlib.sha256(text.encode()).hexdigest()


def test_jobs_are_held_against_the_revision_approved_when_they_were_opened(
    record: Callable[..., Any],
) -> None:
    from commission.job.entry import Digest
    from commission.record.signatures import KnownRegister
    from commission.register.state import Approved, Point, Register

    def known(at: str, digest: str) -> KnownRegister:
        one = Approved("gearing-change", 9, "Other", Digest(digest), Point(5, at), "ada")
        return KnownRegister(Register(seq=5, approved=(one,)), ())

    job = record()
    own = job.entries[0].body["procedure"]["digest"]
    before, after = "2029-01-01T00:00:00.000000Z", "2030-06-01T00:00:00.000000Z"
    assert job.ids(known(before, "0" * 64)) == {"procedure"}
    assert job.ids(known(after, "0" * 64)) == set()
    assert job.ids(known(before, own)) == set()


def test_an_unsigned_job_is_found_where_people_were_registered(
    record: Callable[..., Any],
) -> None:
    from commission.record.signatures import KnownRegister
    from commission.register.state import Person, Point, Register

    def known(at: str) -> KnownRegister:
        point = Point(1, at)
        one = Person("ada", "Ada Nwosu", "AN", point, ((point, frozenset({"lead"})),))
        return KnownRegister(Register(seq=1, people={"ada": one}), ())

    assert record().ids(known("2029-01-01T00:00:00.000000Z")) == {"unsigned"}
    assert record().ids(known("2030-06-01T00:00:00.000000Z")) == set()


def test_a_lead_approves_a_procedure_and_no_other_does(stored: Bench) -> None:
    from commission.register.procedures import approve

    enrolled(stored)
    book, digest = stored.book, "ab" * 32

    def make(register: Any) -> list[Any]:
        return [approve(register, "gearing-change", 3, "Gearing change", digest, "ada")]

    with pytest.raises(IllegalEntryError, match="not signed"):
        book.enter(make)
    stored.sitting.unlock("ada", PHRASE + "ada")
    register = book.enter(make, stored.sitting.signer("ada"))
    found = register.approved_now("gearing-change")
    assert found is not None
    assert (found.revision, found.digest, found.by) == (3, digest, "ada")
    assert register.approved_at("gearing-change", "2020-01-01T00:00:00.000000Z") is None
    assert register.approved_now("other") is None
    with pytest.raises(RefusedError, match="approved one"):
        make(register)
    assert known_register(stored.store) is not None
