"""What the register's entries add up to, and what it refuses."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, get_args

import pytest

from commission.errors import IllegalEntryError, RefusedError
from commission.job.entry import Draft
from commission.procedure.model import Role
from commission.record.line import parse
from commission.register import moves, people
from commission.register.fold import advance, replay

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.record.keys import Signer


def test_the_roles_are_those_procedures_know() -> None:
    assert get_args(Role) == people.ROLES


def test_the_first_lead_founds_the_register_and_adds_the_others(staffed: Any) -> None:
    register = staffed.register
    assert [one.id for one in register.active()] == ["ada", "ben", "cleo"]
    assert [one.id for one in register.leads()] == ["ada", "cleo"]
    assert register.person("ben").roles_now == {"witness"}


def test_a_first_person_who_is_no_lead_is_refused(book: Any, key_of: Callable[..., Signer]) -> None:
    with pytest.raises(RefusedError, match="is a lead"):
        moves.add(book.register, "ben", "Ben", "BI", ["witness"], key_of("ben").public, "ben")


def test_the_fold_refuses_a_founder_who_is_no_lead(book: Any, key_of: Callable[..., Any]) -> None:
    key = key_of("ben")
    body = {"id": "ben", "name": "Ben", "initials": "BI", "roles": ["witness"],
            "key": {"public": key.public, "fingerprint": key.key}, "signature": None}  # fmt: skip
    with pytest.raises(IllegalEntryError, match="first person of a register is a lead"):
        book.enter(Draft("person_added", "ben", body=body), key)


@pytest.mark.parametrize(
    ("by", "with_key_of", "said"),
    [
        ("ada", None, "is not signed"),
        ("ada", "ben", "signed by ben"),
        ("ben", "ben", "no lead with a valid key"),
        ("nobody", "ada", "no lead with a valid key"),
    ],
)
def test_only_a_lead_with_the_own_key_changes_the_register(
    staffed: Any, key_of: Callable[..., Any], by: str, with_key_of: str | None, said: str
) -> None:
    draft = moves.change_roles(staffed.register, "ben", ["technician"], by)
    before = staffed.register
    with pytest.raises(IllegalEntryError, match=said):
        staffed.enter(draft, key_of(with_key_of) if with_key_of else None)
    assert staffed.register == before


def test_an_id_is_never_used_again(staffed: Any, key_of: Callable[..., Any]) -> None:
    staffed.enter(moves.retire(staffed.register, "ben", "moved away", "ada"), key_of("ada"))
    with pytest.raises(RefusedError, match="ids are never used again"):
        moves.add(staffed.register, "ben", "Benno", "BX", ["witness"], key_of("b").public, "ada")
    with pytest.raises(RefusedError, match="registered as ben and was retired"):
        moves.add(staffed.register, "b2", "Ben Test", "BX", ["lead"], key_of("b").public, "ada")


def test_somebody_retired_stays_retired(staffed: Any, key_of: Callable[..., Any]) -> None:
    key = staffed.register.key_now("ben")
    register = staffed.enter(moves.retire(staffed.register, "ben", "moved", "ada"), key_of("ada"))
    assert register.person("ben").roles_now == frozenset()
    assert register.key_now("ben") is None
    assert register.was_valid(key.fingerprint, staffed.history[-2].at)
    assert not register.was_valid(key.fingerprint, register.at)
    with pytest.raises(RefusedError, match="was retired"):
        moves.retire(register, "ben", "again", "ada")
    with pytest.raises(RefusedError, match="was retired"):
        moves.change_roles(register, "ben", ["lead"], "ada")
    with pytest.raises(RefusedError, match="was retired"):
        moves.renew(register, "ben", "again", key_of("ben", 2).public, "ada")
    body = {"person": "ben", "roles": ["lead"], "signature": None}
    with pytest.raises(IllegalEntryError, match="was retired"):
        staffed.enter(Draft("roles_changed", "ada", body=body), key_of("ada"))


def test_a_key_registered_once_is_never_registered_again(
    staffed: Any, key_of: Callable[..., Any]
) -> None:
    draft = moves.renew(staffed.register, "ben", "lost it", key_of("cleo").public, "ada")
    with pytest.raises(IllegalEntryError, match="registered before"):
        staffed.enter(draft, key_of("ada"))


def test_a_renewed_key_takes_the_place_of_the_old_one(
    staffed: Any, key_of: Callable[..., Any]
) -> None:
    old = staffed.register.key_now("ben")
    before = staffed.register.at
    draft = moves.renew(staffed.register, "ben", "lost", key_of("ben", 2).public, "ada")
    register = staffed.enter(draft, key_of("ada"))
    assert register.key_at("ben", before) is not None
    assert register.key_at("ben", before).fingerprint == old.fingerprint
    assert register.key_now("ben").fingerprint == key_of("ben", 2).key
    assert register.keys[old.fingerprint].reason == "lost"
    assert register.recoveries == ()


def test_the_last_lead_cannot_go(staffed: Any, key_of: Callable[..., Any]) -> None:
    staffed.enter(moves.retire(staffed.register, "cleo", "moved", "ada"), key_of("ada"))
    with pytest.raises(RefusedError, match="only lead"):
        moves.retire(staffed.register, "ada", "moved", "ada")
    with pytest.raises(RefusedError, match="only lead"):
        moves.change_roles(staffed.register, "ada", ["technician"], "ada")
    for kind, more in (
        ("person_retired", {"reason": "moved"}),
        ("roles_changed", {"roles": ["technician"]}),
        ("key_revoked", {"key": key_of("ada").key, "reason": "lost"}),
    ):
        body = {"person": "ada", **more, "signature": None}
        with pytest.raises(IllegalEntryError, match="only lead"):
            staffed.enter(Draft(kind, "ada", body=body), key_of("ada"))


def test_a_lone_lead_recovers_by_the_new_key_and_the_register_says_so(
    book: Any, key_of: Callable[..., Any]
) -> None:
    book.add("ada", "lead")
    new = key_of("ada", 2)
    draft = moves.renew(book.register, "ada", "lost", new.public, "ada", recovery=True)
    register = book.enter(draft, new)
    assert register.recoveries == (2,)
    assert register.key_now("ada").fingerprint == new.key


def test_no_recovery_where_another_lead_could_sign(
    staffed: Any, key_of: Callable[..., Any]
) -> None:
    new = key_of("ada", 2)
    with pytest.raises(RefusedError, match="Another lead can renew"):
        moves.renew(staffed.register, "ada", "lost", new.public, "ada", recovery=True)
    draft = moves.renew(staffed.register, "ada", "lost", new.public, "ada")
    forced = dataclasses.replace(draft, body={**draft.body, "recovery": True})
    with pytest.raises(IllegalEntryError, match="Only a lead without another lead"):
        staffed.enter(forced, new)


def test_wrong_tries_are_counted_and_forgotten_after_the_right_one(staffed: Any) -> None:
    key = staffed.register.key_now("ben")
    for _ in range(3):
        staffed.enter(moves.failed(staffed.register.person("ben"), key))
    assert staffed.register.person("ben").failures == 3
    register = staffed.enter(moves.accepted(staffed.register.person("ben"), key))
    assert register.person("ben").failures == 0
    assert register.person("ada").failures == 0


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("person_added", {"id": "zoe"}),
        ("roles_changed", {"person": "ben"}),
        ("roles_changed", {"person": 7, "roles": 8}),
        ("person_retired", {"person": ["ben"]}),
        ("key_renewed", {"person": "ben", "reason": "x", "key": None}),
        ("passphrase_accepted", {"person": "ben"}),
        ("nothing_known", {"a": 1}),
    ],
)
def test_a_malformed_entry_is_illegal_and_never_a_fault(
    staffed: Any, key_of: Callable[..., Any], kind: str, body: dict[str, Any]
) -> None:
    with pytest.raises(IllegalEntryError):
        staffed.enter(Draft(kind, "ada", body={**body, "signature": None}), key_of("ada"))


def test_entries_of_other_streams_and_out_of_order_are_refused(staffed: Any) -> None:
    entry = parse(staffed.lines[-1])
    with pytest.raises(IllegalEntryError, match="comes where 4 is due"):
        advance(staffed.register, entry)
    with pytest.raises(IllegalEntryError, match="none of a register"):
        advance(staffed.register, dataclasses.replace(entry, seq=4, stream="20310506-BCDF"))


def test_replaying_is_folding_one_by_one(staffed: Any) -> None:
    assert replay(parse(line) for line in staffed.lines) == staffed.register


@pytest.mark.parametrize("text", ["ben", "BEN TEST", "  ben   test ", "BEN"])
def test_a_person_is_found_by_id_name_and_initials(staffed: Any, text: str) -> None:
    assert staffed.register.find(text).id == "ben"


def test_nobody_is_found_by_anything_else(staffed: Any) -> None:
    assert staffed.register.find("") is None
    assert staffed.register.find("be") is None
    with pytest.raises(RefusedError, match="is not in the register"):
        staffed.register.person("zoe")
