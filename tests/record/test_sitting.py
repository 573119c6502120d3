"""Opening keys at a bench: passphrase, short form, idle lock, wrong tries slowed and shown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import PassphraseError, RefusedError, SigningError, StoreError
from commission.record import enrolling
from commission.record.enrolling import Wanted
from commission.register import moves

if TYPE_CHECKING:
    from commission.record.bench import Bench
    from commission.record.sitting import Sitting

ADA, BEN = "correct horse battery", "another long phrase"


@pytest.fixture
def sitting(bench: Bench) -> Sitting:
    enrolling.add(bench, Wanted.of("Ada Nwosu", ["lead"], "ada"), ADA, None)
    bench.sitting.unlock("ada", ADA)
    lead = bench.sitting.signer("ada")
    enrolling.add(bench, Wanted.of("Ben Ito", ["witness"], "ben"), BEN, lead)
    return bench.sitting


def test_one_passphrase_serves_for_one_signature(sitting: Sitting) -> None:
    assert sitting.way("ada") == "passphrase"
    sitting.unlock("ada", ADA)
    assert sitting.signer("ada") is not None
    sitting.spend("ada")
    assert sitting.signer("ada") is None
    assert sitting.way("ada") == "passphrase"


def test_a_short_form_chosen_with_the_passphrase_serves_later(sitting: Sitting) -> None:
    sitting.unlock("ada", ADA, "4711")
    sitting.spend("ada")
    assert sitting.way("ada") == "short"
    assert sitting.signer("ada") is None
    sitting.confirm("ada", "4711")
    assert sitting.signer("ada") is not None
    assert sitting.signer("ben") is None


@pytest.mark.parametrize("short", ["123", "x" * 12])
def test_a_short_form_is_four_characters_and_no_passphrase(sitting: Sitting, short: str) -> None:
    with pytest.raises(SigningError, match="short form has"):
        sitting.unlock("ada", ADA, short)
    assert sitting.signer("ada") is None


def test_an_idle_bench_locks(sitting: Sitting, work: Any) -> None:
    sitting.unlock("ada", ADA, "4711")
    sitting.spend("ada")
    work.hands.wait(sitting.idle_s - 1)
    sitting.touch()
    work.hands.wait(sitting.idle_s - 1)
    assert sitting.way("ada") == "short"
    work.hands.wait(2)
    assert sitting.way("ada") == "passphrase"
    with pytest.raises(PassphraseError, match="idle"):
        sitting.confirm("ada", "4711")


def test_a_touch_after_the_idle_time_opens_nothing_again(sitting: Sitting, work: Any) -> None:
    sitting.unlock("ada", ADA, "4711")
    work.hands.wait(sitting.idle_s + 1)
    sitting.touch()
    assert sitting.way("ada") == "passphrase"


def test_what_was_authorised_lapses_after_a_minute(sitting: Sitting, work: Any) -> None:
    sitting.unlock("ada", ADA, "4711")
    work.hands.wait(61)
    assert sitting.signer("ada") is None
    assert sitting.way("ada") == "short"


def test_wrong_tries_are_in_the_register_before_they_are_told(
    sitting: Sitting, bench: Bench
) -> None:
    with pytest.raises(PassphraseError, match="wrong try 1 in a row"):
        sitting.unlock("ben", "not his phrase")
    assert bench.book.register.person("ben").failures == 1
    assert bench.book.register.person("ada").failures == 0


def test_wrong_tries_are_slowed_and_shown_at_the_next_right_one(
    sitting: Sitting, bench: Bench, work: Any
) -> None:
    for _ in range(3):
        with pytest.raises(PassphraseError):
            sitting.unlock("ben", "not his phrase")
    with pytest.raises(PassphraseError, match=r"Try again|wrong tries") as caught:
        sitting.unlock("ben", BEN)
    assert "2 s" in caught.value.hint
    work.hands.wait(2)
    told = sitting.unlock("ben", BEN)
    assert told.failures == 3
    assert "3 wrong passphrases" in str(told)
    assert bench.book.register.person("ben").failures == 0
    assert str(sitting.unlock("ben", BEN)) == ""


def test_the_wait_is_kept_by_another_process_too(sitting: Sitting, work: Any) -> None:
    for _ in range(3):
        with pytest.raises(PassphraseError):
            sitting.unlock("ben", "not his phrase")
    with work.open() as other, pytest.raises(PassphraseError, match="3 wrong tries"):
        other.sitting.unlock("ben", BEN)


def test_three_wrong_short_forms_take_the_passphrase_again(sitting: Sitting, work: Any) -> None:
    sitting.unlock("ada", ADA, "4711")
    sitting.spend("ada")
    for _ in range(3):
        work.hands.wait(5)
        with pytest.raises(PassphraseError, match="not right"):
            sitting.confirm("ada", "0000")
    assert sitting.way("ada") == "passphrase"


def test_a_key_revoked_meanwhile_signs_no_more(sitting: Sitting, bench: Bench) -> None:
    sitting.unlock("ben", BEN, "4711")
    assert sitting.signer("ben") is not None
    sitting.unlock("ada", ADA)
    lead = sitting.signer("ada")
    bench.book.enter(lambda now: (moves.revoke(now, "ben", "stolen", "ada"),), lead)
    assert sitting.signer("ben") is None
    with pytest.raises(SigningError, match="no valid key"):
        sitting.unlock("ben", BEN)


def test_nothing_opens_where_the_register_cannot_be_written(
    sitting: Sitting, bench: Bench, tamper: Any
) -> None:
    with pytest.raises(PassphraseError):
        sitting.unlock("ben", "not his phrase")
    tamper("CREATE TRIGGER full BEFORE INSERT ON entry BEGIN SELECT RAISE(ABORT, 'full'); END")
    with pytest.raises(StoreError):
        sitting.unlock("ben", BEN)
    assert sitting.signer("ben") is None
    assert bench.book.register.person("ben").failures == 1


@pytest.mark.usefixtures("sitting")
def test_a_failed_enrolment_leaves_no_key_behind(bench: Bench) -> None:
    before = sorted(bench.keys.folder.iterdir())
    with pytest.raises(SigningError, match="characters"):
        enrolling.add(bench, Wanted.of("Cleo Ek", ["lead"], "cleo"), "short", None)
    with pytest.raises(RefusedError, match="no lead with a valid key"):
        enrolling.add(bench, Wanted.of("Cleo Ek", ["lead"], "cleo"), BEN, None)
    assert sorted(bench.keys.folder.iterdir()) == before


@pytest.mark.usefixtures("sitting")
def test_two_processes_enter_one_after_the_other(bench: Bench, work: Any) -> None:
    assert bench.book.register.person("ben").failures == 0
    with work.open() as other:
        with pytest.raises(PassphraseError):
            other.sitting.unlock("ben", "not his phrase")
        with pytest.raises(PassphraseError, match="wrong try 2 in a row"):
            bench.sitting.unlock("ben", "not his phrase")
        assert other.book.register.person("ben").failures == 2
