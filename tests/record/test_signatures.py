"""Signatures in a job: made, verified here and by openssl alone, and never good anywhere else."""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import IllegalEntryError, RefusedError, UnsignedError
from commission.job import moves
from commission.job.entry import Digest
from commission.job.signature import MARK, Signature
from commission.procedure import load
from commission.record import enrolling
from commission.record.chain import Reason
from commission.record.enrolling import Wanted
from commission.record.line import digest_of, parse, to_line
from commission.record.signing import RegisterPlace, signed_line
from commission.record.verifying import examine_file, known_register
from commission.register import moves as register_moves

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.record.bench import Bench
    from commission.record.keys import Signer
    from commission.record.session import Session

HERE = Path(__file__).parent
PHRASE = "correct horse battery "
SIGNED = """
procedure: signed
revision: 1
title: Signed job
purpose: To have something to sign.
stages:
  - id: only
    title: Only stage
    steps:
      - id: pack
        kind: measure
        title: Measure the pack voltage
        unit: V
        hold: witness
        limits: {min: "40[V]", max: "60[V]"}
      - id: lamp
        kind: confirm
        title: Light the lamp
      - id: fuse
        kind: measure
        title: Measure the fuse voltage
        unit: V
        limits: {max: "1[V]"}
        on_fail: {then: concession, concession_by: lead}
      - {id: done, kind: sign_off, title: Sign the work, meaning: done}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


@dataclass
class Hand:
    """Everybody's hands in a job: records, and signs where a signature is asked for."""

    session: Session

    def record(self, make: Callable[[], Iterable[Any]]) -> None:
        try:
            self.session.record(make())
        except UnsignedError as needed:
            self.session.sitting.unlock(needed.person, PHRASE + needed.person)
            self.session.record(make())

    def submit(self, step: str, by: str, **given: str) -> None:
        session = self.session
        self.record(lambda: moves.submit(session.state, step, given, by, session.now()))

    def do_all(self) -> None:
        session = self.session
        self.submit("pack", "Ada Nwosu", value="54.0")
        self.record(lambda: [moves.confirm_hold(session.state, "pack", "Ben Ito")])
        self.submit("lamp", "Ada Nwosu", value="done")
        self.submit("fuse", "Ada Nwosu", value="2.0")
        self.record(lambda: [moves.concede(
            session.state, "fuse", "Cleo Ek", scope="this bike", expiry="2030-01-01",
            reason="spare is ordered", now=session.now())])  # fmt: skip
        self.submit("done", "Ada Nwosu", value="done")
        self.submit("release", "Cleo Ek", value="done")


def refusal(session: Session) -> Any:
    """What Ben records who does not confirm."""
    return moves.confirm_hold(session.state, "pack", "Ben Ito", agrees=False, reason="no meter")


@pytest.fixture
def staffed(bench: Bench) -> Bench:
    """A bench with Ada, technician and lead; Ben, witness; Cleo, lead."""
    lead = None
    for name, roles in (
        ("Ada Nwosu", ["technician", "lead"]), ("Ben Ito", ["witness"]), ("Cleo Ek", ["lead"]),
    ):  # fmt: skip
        person = name.split()[0].lower()
        enrolling.add(bench, Wanted.of(name, roles, person), PHRASE + person, lead)
        bench.sitting.unlock("ada", PHRASE + "ada")
        lead = bench.sitting.signer("ada")
    bench.sitting.lock()
    return bench


@pytest.fixture
def started(staffed: Bench) -> Callable[[], Session]:
    def start() -> Session:
        people = {"ada": ("technician",), "Ben Ito": ("witness",), "CE": ("lead",)}
        return staffed.start(load.loads(SIGNED), {"frame": "FR-1"}, people, "AN")

    return start


@pytest.fixture
def lines(started: Callable[[], Session]) -> list[bytes]:
    """A whole signed job."""
    with started() as session:
        Hand(session).do_all()
        assert session.state.outcome == "released"
        return list(session.lines())


@pytest.fixture
def examined(staffed: Bench, tmp_path: Path) -> Callable[..., Any]:
    """Examine lines as an exported file against the bench's register."""

    def run(lines: list[bytes], *, known: bool = True) -> Any:
        path = tmp_path / "job.jsonl"
        path.write_bytes(b"".join(line + b"\n" for line in lines))
        return examine_file(path, None, known_register(staffed.store) if known else None)

    return run


def chained_again(lines: list[bytes]) -> list[bytes]:
    """Make the chain whole again, as somebody who forges would."""
    made: list[bytes] = []
    for line in lines:
        prev = digest_of(made[-1]) if made else Digest("0" * 64)
        made.append(line[:-66] + prev.encode() + line[-2:])
    return made


def signed_at(lines: list[bytes], meaning: str) -> int:
    said = f'"meaning":"{meaning}","signer"'.encode()
    return next(at for at, line in enumerate(lines) if said in line)


def test_people_of_the_register_take_part_under_their_names_and_ids(
    started: Callable[[], Session],
) -> None:
    with started() as session:
        assert dict(session.state.ids) == {"Ada Nwosu": "ada", "Ben Ito": "ben", "Cleo Ek": "cleo"}
        assert session.state.opened is not None
        assert session.state.opened.register == 3


def test_sign_offs_holds_concessions_and_the_release_are_signed(
    lines: list[bytes], examined: Callable[..., Any]
) -> None:
    found = examined(lines)
    assert found.is_whole, found.fault
    assert (found.signed.good, found.signed.unsigned, found.signed.against_register) == (4, 0, True)
    meanings = [parse(line).body["signature"]["meaning"] for line in lines if MARK in line]
    assert meanings == ["confirmed", "conceded", "done", "released"]
    assert not examined(lines, known=False).signed.against_register


def test_nothing_is_recorded_before_it_is_signed(started: Callable[[], Session]) -> None:
    with started() as session:
        hand = Hand(session)
        hand.submit("pack", "Ada Nwosu", value="54.0")
        before = session.state.seq
        with pytest.raises(UnsignedError, match=r"Ben Ito's signature \(confirmed\)") as caught:
            session.record([moves.confirm_hold(session.state, "pack", "Ben Ito")])
        assert (caught.value.person, session.state.seq) == ("ben", before)
        session.sitting.unlock("ada", PHRASE + "ada")
        with pytest.raises(UnsignedError):
            session.record([moves.confirm_hold(session.state, "pack", "Ben Ito")])


def test_a_correction_by_a_lead_is_signed_and_one_by_a_technician_is_not(
    staffed: Bench,
) -> None:
    people = {"ada": ("technician",), "cleo": ("lead",)}
    with staffed.start(
        load.loads(SIGNED.replace("hold: witness", "")), {"frame": "F"}, people, "ada"
    ) as session:
        hand = Hand(session)
        hand.submit("pack", "Ada Nwosu", value="54.0")
        for by, value in (("Ada Nwosu", "54.1"), ("Cleo Ek", "54.2")):
            hand.record(
                lambda by=by, value=value: moves.correct(  # type: ignore[misc]
                    session.state, "pack", {"": {"value": value}}, "misread", by, session.now()
                )
            )
        bodies = [entry.body for entry in session.recent(2)]
        assert "signature" not in bodies[0]
        assert bodies[1]["signature"]["meaning"] == "corrected"


def test_the_short_form_signs_later_in_the_sitting(started: Callable[[], Session]) -> None:
    with started() as session:
        Hand(session).submit("pack", "Ada Nwosu", value="54.0")
        session.sitting.unlock("ben", PHRASE + "ben", "4711")
        session.record([refusal(session)])
        Hand(session).submit("pack", "Ada Nwosu", value="54.0")
        again = [moves.confirm_hold(session.state, "pack", "Ben Ito")]
        with pytest.raises(UnsignedError):
            session.record(again)
        session.sitting.confirm("ben", "4711")
        session.record(again)


def test_somebody_outside_the_register_takes_no_part(
    staffed: Bench, started: Callable[[], Session]
) -> None:
    loaded = load.loads(SIGNED)
    with pytest.raises(RefusedError, match="Zoe is not in the register"):
        staffed.start(loaded, {"frame": "F"}, {"ada": ("technician",), "Zoe": ("lead",)}, "ada")
    with pytest.raises(RefusedError, match="Ben Ito is no lead"):
        staffed.start(loaded, {"frame": "F"}, {"ada": ("technician",), "ben": ("lead",)}, "ada")
    with started() as session:
        with pytest.raises(RefusedError, match="Zoe is not in the register"):
            session.taking_part("Zoe", "witness", "Ada Nwosu")
        with pytest.raises(RefusedError, match="not in the register"):
            moves.join(session.state, "Zoe", ("witness",), "Ada Nwosu")
        name, drafts = session.taking_part("ada", "lead", "Ada Nwosu")
        session.record(drafts)
        assert session.taking_part("AN", "lead", "Ada Nwosu") == (name, ())
        assert session.state.people["Ada Nwosu"] == {"technician", "lead"}


def test_practice_and_benches_without_people_go_on_unsigned(
    staffed: Bench, work: Any, examined: Callable[..., Any]
) -> None:
    people = {"Zoe": ("technician", "lead"), "Max": ("witness",)}
    with staffed.start(load.loads(SIGNED), {"frame": "F"}, people, "Zoe", practice=True) as session:
        session.record(moves.submit(session.state, "pack", {"value": "50"}, "Zoe", session.now()))
        session.record([moves.confirm_hold(session.state, "pack", "Max")])
        found = examined(list(session.lines()))
    assert found.is_whole
    assert (found.signed.good, found.signed.unsigned) == (0, 1)
    assert work is not None


# What must not hold


def key_of(bench: Bench, person: str) -> Signer:
    """A person's key, open outside any sitting: what a thief of file and phrase has."""
    key = bench.book.register.key_now(person)
    assert key is not None
    return bench.keys.open(person, key.public, PHRASE + person)


def refused(found: Any, seq: int, reason: Reason, text: str = "") -> None:
    assert found.fault is not None
    assert (found.fault.seq, found.fault.reason) == (seq, reason), found.fault
    assert text in found.fault.text


@pytest.mark.parametrize(
    ("meaning", "old", "new"),
    [
        ("conceded", b"this bike", b"all bikes"),
        ("conceded", b"2030-01-01", b"2099-01-01"),
        ("confirmed", b'"reason":""', b'"reason":"by ear"'),
        ("released", b'"bench":"bench-1"', b'"bench":"bench-2"'),
    ],
)
def test_no_word_of_a_signed_entry_can_be_changed(
    lines: list[bytes], examined: Callable[..., Any], meaning: str, old: bytes, new: bytes
) -> None:
    at = signed_at(lines, meaning)
    assert old in lines[at]
    forged = chained_again([*lines[:at], lines[at].replace(old, new, 1), *lines[at + 1 :]])
    refused(examined(forged), at + 1, Reason.SIGNATURE, "not one over this entry")
    refused(examined(forged, known=False), at + 1, Reason.SIGNATURE)


def test_nothing_before_a_signature_can_be_changed(
    lines: list[bytes], examined: Callable[..., Any]
) -> None:
    at = next(at for at, line in enumerate(lines) if b'"typed":"54.0"' in line)
    changed = lines[at].replace(b'"54.0"', b'"55.0"')
    forged = chained_again([*lines[:at], changed, *lines[at + 1 :]])
    refused(examined(forged), signed_at(lines, "confirmed") + 1, Reason.SIGNATURE)


def test_a_signature_moved_to_another_record_fails(
    lines: list[bytes], started: Callable[[], Session], examined: Callable[..., Any]
) -> None:
    with started() as session:
        Hand(session).do_all()
        other = list(session.lines())
    at = signed_at(lines, "done")
    body = {**parse(other[at]).body, "signature": parse(lines[at]).body["signature"]}
    moved = chained_again(
        [*other[:at], to_line(replace(parse(other[at]), body=body)), *other[at + 1 :]]
    )
    refused(examined(moved), at + 1, Reason.SIGNATURE)


def test_a_signature_moved_to_another_entry_fails(
    started: Callable[[], Session], examined: Callable[..., Any]
) -> None:
    with started() as session:
        hand = Hand(session)
        hand.submit("pack", "Ada Nwosu", value="54.0")
        hand.record(
            lambda: [
                moves.confirm_hold(
                    session.state, "pack", "Ben Ito", agrees=False, reason="no meter"
                )
            ]
        )
        hand.submit("pack", "Ada Nwosu", value="54.0")
        hand.record(
            lambda: [
                moves.confirm_hold(
                    session.state, "pack", "Ben Ito", agrees=False, reason="no meter"
                )
            ]
        )
        lines = list(session.lines())
    places = [at for at, line in enumerate(lines) if MARK in line]
    first, second = places
    body = {**parse(lines[second]).body, "signature": parse(lines[first]).body["signature"]}
    moved = [
        *lines[:second],
        to_line(replace(parse(lines[second]), body=body)),
        *lines[second + 1 :],
    ]
    refused(examined(chained_again(moved)), second + 1, Reason.SIGNATURE)


def test_a_signature_under_another_meaning_fails(
    lines: list[bytes], examined: Callable[..., Any]
) -> None:
    at = signed_at(lines, "done")
    other = lines[at].replace(b'"meaning":"done","signer"', b'"meaning":"witnessed","signer"')
    forged = chained_again([*lines[:at], other, *lines[at + 1 :]])
    refused(examined(forged), at + 1, Reason.ILLEGAL, "it takes 'done'")
    entry = parse(lines[at])
    signature = Signature(*list(entry.body["signature"].values())[1:])
    text = signature.text(entry, Digest("0" * 64))
    assert replace(signature, meaning="released").text(entry, Digest("0" * 64)) != text


def test_a_signature_taken_away_is_missed(lines: list[bytes], examined: Callable[..., Any]) -> None:
    at = signed_at(lines, "released")
    body = {**parse(lines[at]).body, "signature": None}
    forged = chained_again([*lines[:at], to_line(replace(parse(lines[at]), body=body))])
    refused(examined(forged), at + 1, Reason.ILLEGAL, "has to be signed")


def test_a_key_of_ones_own_is_no_key_of_the_register(
    lines: list[bytes], staffed: Bench, examined: Callable[..., Any]
) -> None:
    at = signed_at(lines, "released")
    forger = staffed.keys.make("cleo", "a forgers own phrase")
    place = parse(lines[at]).body["signature"]
    anchor = RegisterPlace(place["register"], place["register_head"])
    forged = [*lines[:at], signed_line(parse(lines[at]), "released", forger, anchor)]
    refused(examined(forged), at + 1, Reason.SIGNATURE, "not cleo's in the register")
    # The key beside it is the forger's: without a register nobody can tell, and it is not claimed.
    found = examined(forged, known=False)
    assert found.is_whole
    assert not found.signed.against_register


def test_a_key_that_signed_after_it_was_revoked_fails_and_before_it_holds(
    started: Callable[[], Session], staffed: Bench, examined: Callable[..., Any], work: Any
) -> None:
    with started() as session:
        Hand(session).submit("pack", "Ada Nwosu", value="54.0")
        stolen = key_of(staffed, "ben")
        Hand(session).record(lambda: [moves.confirm_hold(session.state, "pack", "Ben Ito")])
        lines = list(session.lines())
        before = parse(lines[-1])
        work.hands.wait(60)
        staffed.sitting.unlock("ada", PHRASE + "ada")
        staffed.book.enter(
            lambda now: [register_moves.revoke(now, "ben", "stolen", "ada")],
            staffed.sitting.signer("ada"),
        )
        assert examined(lines).is_whole
        # The thief signs the same hold later: named is the register's newest entry, or an old one.
        work.hands.wait(60)
        late = replace(before, at=session.now().at, clock=session.now().clock)
        newest = signed_line(late, "confirmed", stolen, staffed.book.place)
        refused(examined([*lines[:-1], newest]), before.seq, Reason.SIGNATURE, "was valid from")
        named = before.body["signature"]
        anchor = RegisterPlace(named["register"], named["register_head"])
        old = signed_line(late, "confirmed", stolen, anchor)
        refused(examined([*lines[:-1], old]), before.seq, Reason.SIGNATURE, "was valid from")


def test_a_signature_that_names_another_register_or_an_older_entry_fails(
    lines: list[bytes], staffed: Bench, examined: Callable[..., Any]
) -> None:
    at = signed_at(lines, "released")
    signer = key_of(staffed, "cleo")
    for place, said in (
        (RegisterPlace(3, Digest("1" * 64)), "no entry 3 with the digest"),
        (RegisterPlace(99, Digest("1" * 64)), "no entry 99"),
        (RegisterPlace(1, Digest("1" * 64)), "3 was there already"),
    ):
        forged = [*lines[:at], signed_line(parse(lines[at]), "released", signer, place)]
        refused(examined(forged), at + 1, Reason.SIGNATURE, said)


def test_somebody_elses_good_signature_is_refused(
    lines: list[bytes], staffed: Bench, examined: Callable[..., Any]
) -> None:
    at = signed_at(lines, "released")
    signer = key_of(staffed, "ada")
    forged = [*lines[:at], signed_line(parse(lines[at]), "released", signer, staffed.book.place)]
    refused(examined(forged), at + 1, Reason.ILLEGAL, "by Cleo Ek and signed by ada")


def test_every_byte_of_a_signature_counts(lines: list[bytes], examined: Callable[..., Any]) -> None:
    at = signed_at(lines, "released")
    start = lines[at].rindex(MARK)
    for place in range(start, len(lines[at]) - 76, 11):
        byte = lines[at][place]
        other = bytes([byte ^ 1]) if byte not in b'"\\' else b"x"
        forged = [*lines[:at], lines[at][:place] + other + lines[at][place + 1 :]]
        assert not examined(forged).is_whole, place


def test_a_setting_called_signature_confuses_nobody(lines: list[bytes]) -> None:
    entry = parse(lines[signed_at(lines, "done")])
    body = {"given": {"signature": {"format": "commission signature 1"}}, "signature": None}
    line = to_line(replace(entry, body=body))
    assert line[: line.rindex(MARK)].endswith(b'signature 1"}}')


# Without this program


@pytest.fixture
def checked(tmp_path: Path) -> Callable[[list[bytes]], subprocess.CompletedProcess[str]]:
    """Check lines with the README's commands in a shell."""
    if shutil.which("openssl") is None:
        pytest.skip("no openssl on this machine")

    def run(lines: list[bytes]) -> subprocess.CompletedProcess[str]:
        (tmp_path / "job.jsonl").write_bytes(b"".join(line + b"\n" for line in lines))
        return subprocess.run(
            ["sh", HERE / "verify_with_openssl.sh"], cwd=tmp_path,
            capture_output=True, text=True, check=False,
        )  # fmt: skip

    return run


def test_openssl_alone_finds_that_the_signatures_hold(
    lines: list[bytes], checked: Callable[..., Any], staffed: Bench
) -> None:
    done = checked(lines)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "4 signatures hold"
    register = staffed.book.register
    for person in ("ada", "ben", "cleo"):
        key = register.key_now(person)
        assert key is not None
        assert f"{person}, key {key.fingerprint}" in done.stdout
    whole = list(staffed.store.lines("register"))
    assert checked(whole).stdout.splitlines()[-1] == "3 signatures hold"


def test_openssl_alone_finds_a_changed_word(
    lines: list[bytes], checked: Callable[..., Any]
) -> None:
    at = signed_at(lines, "conceded")
    done = checked([*lines[:at], lines[at].replace(b"this bike", b"all bikes"), *lines[at + 1 :]])
    assert done.returncode == 1
    assert f"entry {at + 1}: the signature does not hold" in done.stdout


def test_an_unsigned_record_has_no_signature_to_check(
    job: str, bench: Bench, checked: Callable[..., Any]
) -> None:
    assert checked(list(bench.lines(job))).stdout == "0 signatures hold\n"


def test_the_canonical_text_is_as_documented(lines: list[bytes]) -> None:
    entry = parse(lines[signed_at(lines, "released")])
    signature = Signature(*list(entry.body["signature"].values())[1:])
    head = json.loads(lines[-1])["prev"]
    assert signature.text(entry, Digest("c" * 64)).decode() == (
        "commission signature 1\n"
        f"stream {entry.stream}\n"
        f"entry {entry.seq}\n"
        f"over {head}\n"
        f"content {'c' * 64}\n"
        "meaning released\n"
        "signer cleo\n"
        f"key {signature.key}\n"
        f"at {entry.at}\n"
        f"register 3 {signature.register_head}\n"
    )


def test_a_signed_entry_in_an_unsigned_job_is_illegal(
    lines: list[bytes], bench: Bench, work: Any
) -> None:
    from commission.job.advance import advance

    with work.start(bench, practice=True) as session:
        entry = replace(
            parse(lines[signed_at(lines, "confirmed")]), seq=session.state.seq + 1, by="Ada"
        )
        with pytest.raises(IllegalEntryError, match="nobody here is registered"):
            advance(session.state, entry)
