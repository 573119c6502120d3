"""Over any legal story of a register: what it says of a past moment is what it said then."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from commission.errors import CommissionError
from commission.job.elapsed import seconds
from commission.job.entry import Clock, Instant
from commission.record.line import parse
from commission.register import moves
from commission.register.fold import replay
from commission.register.slowing import LONGEST_S, delay_after, still_to_wait

NAMES = ("ada", "ben", "cleo", "dag")
WISHES = st.lists(
    st.tuples(
        st.sampled_from(("add", "retire", "roles", "renew", "revoke", "fail", "accept")),
        st.sampled_from(NAMES),
        st.sets(st.sampled_from(("technician", "lead", "witness")), min_size=1),
    ),
    max_size=25,
)


def do(book: Any, key_of: Any, wish: str, person: str, roles: set[str]) -> None:
    """Do one thing as a lead, where it may be done."""
    register = book.register
    if wish == "add":
        lead = register.leads()[0].id if register.leads() else person
        book.add(person, *roles, by=lead)
        return
    lead = register.leads()[0].id
    match wish:
        case "retire":
            draft = moves.retire(register, person, "moved away", lead)
        case "roles":
            draft = moves.change_roles(register, person, sorted(roles), lead)
        case "renew":
            number = len(register.person(person).keys) + 1
            draft = moves.renew(register, person, "lost", key_of(person, number).public, lead)
        case "revoke":
            draft = moves.revoke(register, person, "stolen", lead)
        case "fail":
            draft = moves.failed(register.person(person), register.key_now(person))
        case _:
            draft = moves.accepted(register.person(person), register.key_now(person))
    book.enter(draft, book.signer(lead))


@settings(max_examples=60, deadline=None)
@given(wishes=WISHES)
def test_what_it_says_of_a_past_moment_is_what_it_said_then(
    new_book: Any, key_of: Any, wishes: list[tuple[str, str, set[str]]]
) -> None:
    book = new_book()
    for wish in wishes:
        before = book.register
        try:
            do(book, key_of, *wish)
        except (CommissionError, IndexError, AttributeError):
            assert book.register == before
    last = book.register
    assert replay(parse(line) for line in book.lines) == last
    for then in book.history:
        for person in then.people:
            assert last.person(person).id == person
            assert last.roles_at(person, then.at) == then.person(person).roles_now
            key, key_then = last.key_at(person, then.at), then.key_now(person)
            assert (key and key.fingerprint) == (key_then and key_then.fingerprint)
            if not then.person(person).is_active:
                assert not last.person(person).is_active
        for fingerprint in then.keys:
            stood = then.keys[fingerprint].revoked is None
            assert last.was_valid(fingerprint, then.at) == stood
            assert last.keys[fingerprint].stood_at(then.seq) == stood
        assert then.leads(), "a register keeps a lead"


@given(st.integers(0, 10_000))
def test_waiting_grows_and_has_an_end(failures: int) -> None:
    assert 0 <= delay_after(failures) <= delay_after(failures + 1) <= LONGEST_S


def test_two_wrong_tries_are_free_then_it_doubles() -> None:
    # Regression: our own figures, stated in the module.
    assert [delay_after(number) for number in (0, 1, 2, 3, 4, 5, 50)] == [0, 0, 0, 2, 4, 8, 600]


def test_a_clock_set_back_shortens_no_wait(staffed: Any) -> None:
    key = staffed.register.key_now("ben")
    for _ in range(4):
        staffed.enter(moves.failed(staffed.register.person("ben"), key))
    ben = staffed.register.person("ben")
    later = Instant("2020-01-01T00:00:00.000000Z", Clock("another boot", 0))
    assert seconds(ben.failed, later) < 0
    assert still_to_wait(ben, later) == delay_after(4)
    assert (
        still_to_wait(ben, Instant(ben.failed.at, Clock("boot-a", ben.failed.clock.ns + 10**10)))
        == 0
    )
