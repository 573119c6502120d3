"""Work without signatures, or with some nobody can answer for, though people are registered."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.audited import read_job
from commission.audit.run import checked
from commission.errors import IllegalEntryError, UnsignedError
from commission.job import moves
from commission.job.advance import advance
from commission.record.line import parse
from commission.record.verifying import examine_file, known_register

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"


def stripped(forger: Any) -> Any:
    """Take register, ids and signatures out of a record: as if nobody had been registered."""
    for place, entry in enumerate(forger.entries):
        body = {name: value for name, value in entry.body.items() if name != "register"}
        if "signature" in body:
            body["signature"] = None
        if entry.kind == "opened":
            body["people"] = [
                {"name": one["name"], "roles": one["roles"]} for one in body["people"]
            ]
        forger.change(place, body=body)
    return forger


def test_a_job_opened_unsigned_although_people_were_registered_is_found(
    staffed: Any, crew: Any, forge: Callable[..., Any]
) -> None:
    with (work := staffed.start(crew)).session:
        lines = stripped(forge(work.do_all())).lines()
    ((check, severity, text),) = staffed.said(lines)
    assert (check, severity) == ("unsigned", "major")
    assert "in which 3 people stood" in text


def test_a_job_from_before_the_register_that_went_on_after_it_is_told(shop: Any, crew: Any) -> None:
    with (work := shop.start(crew)).session:
        work.to_the_write()
        assert shop.said(work.lines) == []
        shop.hire(ADA, "lead", "technician")
        assert shop.said(work.lines) == []
        work.to_the_end()
        (found,) = shop.found(work.lines)
    assert (found.check, found.severity) == ("unsigned", "minor")
    assert "2 entries that take a signature came after" in found.text
    kinds = [parse(work.lines[seq - 1]).kind for seq in found.entries]
    assert kinds == ["conceded", "answered"]


def test_signatures_of_a_register_that_is_not_there_are_found(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        lines = work.do_all()
    job = read_job(lines, work.session.job, None, "2031-01-01T00:00:00.000000Z", thorough=True)
    ((check, severity),) = [(one.check, one.severity) for one in checked(job)]
    assert (check, severity) == ("unsigned", "major")


def test_a_job_opened_with_another_register_is_found(
    staffed: Any, crew: Any, forge: Callable[..., Any]
) -> None:
    with (work := staffed.start(crew)).session:
        forger = forge(work.lines)
    forger.change_body(0, register={"entry": 3, "head": "1" * 64})
    ((check, severity, text),) = staffed.said(forger.lines())
    assert (check, severity) == ("whole", "critical")
    assert "opened with entry 3 of another register" in text


# Ending a job for good


def ended(work: Any, by: str = ADA) -> None:
    session = work.session
    work.record(lambda: [moves.abandon(session.state, "no parts", by, "handed back unfinished")])


def test_who_ends_a_job_without_release_signs_that(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        draft = moves.abandon(work.session.state, "no parts", BEN)
        with pytest.raises(UnsignedError, match=r"Ben Ito's signature \(ended\)"):
            work.session.record([draft])
        assert work.session.state.outcome == ""
        ended(work, BEN)
        signature = parse(work.lines[-1]).body["signature"]
        assert (signature["meaning"], signature["signer"]) == ("ended", "ben-ito")
        assert staffed.said(work.lines) == []


def test_an_end_signed_by_another_one_or_as_something_else_is_no_legal_job(
    staffed: Any, crew: Any, forge: Callable[..., Any]
) -> None:
    with (work := staffed.start(crew)).session:
        ended(work)
        lines = work.lines
    by_ben = forge(lines)
    by_ben.change(len(lines) - 1, by=BEN)
    assert "by Ben Ito and signed by ada-nwosu" in staffed.said(by_ben.lines())[0][2]
    other = forge(lines, ADA)
    signature = {**other.entries[-1].body["signature"], "meaning": "resumed"}
    other.change_body(len(lines) - 1, signature=signature)
    assert "it takes 'ended'" in staffed.said(other.lines())[0][2]
    reason = forge(lines)
    reason.change_body(len(lines) - 1, reason="stolen")
    assert "not one over this entry" in staffed.said(reason.lines())[0][2]


def test_an_end_from_before_it_was_signed_stays_legal_and_is_told(
    staffed: Any, crew: Any, forge: Callable[..., Any], tmp_path: Path
) -> None:
    with (work := staffed.start(crew)).session:
        before = work.session.state
        ended(work)
        forger = forge(work.lines)
    old = {"outcome": "abandoned", "reason": "no parts"}
    lines = forger.change(len(forger.entries) - 1, body=old).lines()
    path = tmp_path / "old.jsonl"
    path.write_bytes(b"".join(line + b"\n" for line in lines))
    assert examine_file(path, None, known_register(staffed.bench.store)).is_whole
    assert staffed.said(lines) == [("unsigned", "minor", "Ended as abandoned without a signature.")]
    empty = replace(parse(lines[-1]), body={**old, "signature": None})
    with pytest.raises(IllegalEntryError, match="has to be signed"):
        advance(before, empty)


def test_without_registered_people_a_job_ends_unsigned(shop: Any, crew: Any) -> None:
    with (work := shop.start(crew)).session:
        ended(work)
        assert parse(work.lines[-1]).body["signature"] is None
        assert shop.said(work.lines) == []
