"""What a dishonest technician with the database, an own key and time could make of a record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.job.entry import Draft
from commission.procedure import load
from commission.record.line import parse, to_line
from commission.record.signing import RegisterPlace, signed_line
from commission.register import moves as register_moves
from commission.register import procedures

if TYPE_CHECKING:
    from collections.abc import Callable

ADA, BEN, CLEO, DAN = "Ada Nwosu", "Ben Ito", "Cleo Ek", "Dan Okoye"


@pytest.fixture
def lines(staffed: Any, crew: Any) -> list[bytes]:
    """A job that Ada did, Ben witnessed and Cleo released."""
    with (work := staffed.start(crew)).session:
        return list(work.do_all())


def only(said: list[tuple[str, str, str]]) -> tuple[str, str, str]:
    (one,) = said
    return one


@pytest.mark.parametrize("keys", [(), (ADA,), (ADA, BEN)], ids=["none", "own", "witness too"])
def test_a_reading_changed_under_the_signatures_of_others_is_found(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any], keys: tuple[str, ...]
) -> None:
    forger = forge(lines, *keys)
    place = forger.where("answered", "pack")
    given = {**forger.entries[place].body["parts"][""]["value"], "typed": "54.9"}
    forger.change_body(place, parts={"": {"value": given}})
    check, severity, text = only(staffed.said(forger.lines()))
    assert (check, severity) == ("whole", "critical")
    assert f"the signature of {'cleo-ek' if BEN in keys else 'ben-ito'}" in text


def test_entries_taken_out_of_the_middle_are_found_by_the_signatures_after_them(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    forger = forge(lines, ADA)
    del forger.entries[forger.where("answered", "as_found")]
    assert only(staffed.said(forger.lines()))[0] == "whole"


def test_a_hold_of_the_doers_under_another_name_is_found(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    place = forge(lines).where("hold_confirmed", "lamp")
    entry, ada = parse(lines[place]), staffed.key(ADA)
    anchor = RegisterPlace(*(entry.body["signature"][key] for key in ("register", "register_head")))
    as_ada = signed_line(entry, "confirmed", ada, anchor)
    assert "by Ben Ito and signed by ada-nwosu" in only(staffed.said([*lines[:place], as_ada]))[2]
    as_ben = type(ada)("ben-ito", ada.public, ada._private)
    forged = signed_line(entry, "confirmed", as_ben, anchor)
    assert "is not ben-ito's in the register" in only(staffed.said([*lines[:place], forged]))[2]


def test_somebody_who_takes_part_under_a_name_that_is_not_the_registers_is_found(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    forger = forge(lines[:2])  # nobody has signed yet
    people = forger.entries[0].body["people"]
    people = [{**one, "name": "Zoe" if one["name"] == ADA else one["name"]} for one in people]
    forger.change_body(0, people=people)
    for place in (0, 1):
        forger.change(place, by="Zoe")
    assert only(staffed.said(forger.lines())) == (
        "roles", "major", "Zoe takes part as ada-nwosu, who is Ada Nwosu in the register."
    )  # fmt: skip


def test_a_key_that_signs_for_a_name_that_is_not_its_owners_is_found(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    forger = forge(lines, ADA, BEN, CLEO)
    people = forger.entries[0].body["people"]
    people = [{**one, "name": "Zoe" if one["name"] == BEN else one["name"]} for one in people]
    forger.change_body(0, people=people)
    for place, entry in enumerate(forger.entries):
        forger.change(place, by="Zoe" if entry.by == BEN else entry.by)
    check, severity, text = only(staffed.said(forger.lines()))
    assert (check, severity) == ("whole", "critical")
    assert "it is ben-ito's signature in an entry by Zoe" in text


def test_a_role_that_began_later_gives_no_leave_and_no_part(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    staffed.enter(
        lambda now, by: register_moves.change_roles(now, "ben-ito", ["witness", "lead"], by)
    )
    forger = forge(lines, ADA, BEN, CLEO)
    joined = Draft("joined", ADA, body={"name": BEN, "roles": ["lead"], "id": "ben-ito"})
    place = forger.where("conceded")
    before = forger.entries[place - 1]
    forger.entries.insert(place, forger.joined(joined, before))
    said = [one for one in staffed.said(forger.lines()) if one[0] == "roles"]
    assert said == [("roles", "major", "Ben Ito takes part as lead and was none then.")]
    leave = forger.entries[place + 1]
    signature = {**leave.body["signature"], "signer": "ben-ito", "key": staffed.key(BEN).key,
                 "public": staffed.key(BEN).public}  # fmt: skip
    forger.change(place + 1, by=BEN).change_body(place + 1, signature=signature)
    check, severity, text = only(staffed.said(forger.lines()))
    assert (check, severity) == ("whole", "critical")
    assert "ben-ito was no lead then" in text


def test_work_after_retiring_is_found(staffed: Any) -> None:
    staffed.hire(DAN, "technician")
    people = {DAN: ("technician",), BEN: ("witness",), CLEO: ("lead",)}
    with (work := staffed.start(people)).session:
        work.submit("pack", value="54.0")
        assert staffed.said(work.lines) == []
        staffed.enter(lambda now, by: register_moves.retire(now, "dan-okoye", "left", by))
        assert staffed.said(work.lines) == []
        work.confirm("pack", value="54.0")
        work.submit("lamp", value="done")
        work.confirm("lamp")
        work.submit("as_found", limit="25")
        (found,) = staffed.found(work.lines)
    assert (found.check, found.severity, found.step, found.by) == ("roles", "major", "lamp", DAN)
    assert "Dan Okoye made entries from here on, retired on 2026-" in found.text


def test_a_signature_after_retiring_does_not_hold(staffed: Any, lines: list[bytes]) -> None:
    anchor = parse(lines[-1]).body["signature"]
    staffed.enter(lambda now, by: register_moves.retire(now, "cleo-ek", "left", by))
    assert staffed.said(lines) == []
    staffed.wait(3600)
    now = staffed.bench.clocks.now()
    late = replace(parse(lines[-1]), at=now.at, clock=now.clock)
    for place in (staffed.place, RegisterPlace(anchor["register"], anchor["register_head"])):
        forged = signed_line(late, "released", staffed.key(CLEO), place)
        assert "was valid from" in only(staffed.said([*lines[:-1], forged]))[2]
    backdated = signed_line(parse(lines[-1]), "released", staffed.key(CLEO), staffed.place)
    assert "was valid from" in only(staffed.said([*lines[:-1], backdated]))[2]


LOOSE = ('max: "1[V]"', 'max: "10[V]"')


@pytest.mark.parametrize(
    ("name", "severity", "said"),
    [
        ("small-exchange", "major", "approved then was revision 1"),
        ("my-exchange", "minor", "my-exchange was never approved; approved then: small-exchange."),
    ],
)
def test_a_procedure_with_loosened_limits_is_found_under_its_name_or_another(
    staffed: Any, crew: Any, name: str, severity: str, said: str
) -> None:
    loaded = load.loads(staffed.text)
    staffed.enter(
        lambda now, by: procedures.approve(
            now, "small-exchange", 1, "A small exchange", loaded.digest, by
        )
    )
    with (work := staffed.start(crew)).session:
        assert staffed.said(work.do_all()) == []
    loose = staffed.text.replace(*LOOSE).replace("small-exchange", name)
    with (work := staffed.start(crew, loose)).session:
        work.to_the_write()
        work.to_the_end(fuse="0.5")
        check, found, text = only(staffed.said(work.lines))
    assert (check, found) == ("procedure", severity)
    assert said in text


def test_a_witness_who_read_something_else_and_agreed_is_found(
    staffed: Any, lines: list[bytes], forge: Callable[..., Any]
) -> None:
    forger = forge(lines, ADA, BEN, CLEO)
    place = forger.where("hold_confirmed", "pack")
    forger.change_body(place, parts={"": {"value": {"typed": "56.0", "unit": "V"}}})
    text = "Ben Ito read 56.0 V, the first was 54.0 V, and agreed all the same."
    assert ("holds", "major", text) in staffed.said(forger.lines())


def test_lines_chained_anew_without_a_change_are_the_record_itself(
    lines: list[bytes], forge: Callable[..., Any]
) -> None:
    assert forge(lines).lines() == lines == forge(lines, ADA, BEN, CLEO).lines()
    assert [to_line(parse(line)) for line in lines] == lines
