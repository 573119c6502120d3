"""A refusal of the register names what was given wrongly, so that forms can put it beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import PassphraseError, QuantityError, RefusedError
from commission.job.accuracy import parse_range
from commission.record.keys import check_passphrase
from commission.register import instrument_moves, moves
from commission.register.instrument_moves import Wanted
from commission.register.state import Register
from commission.tui.signing.form import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable

NOBODY = Register()


def person(name: str = "Ada Nwosu", person: str = "ada", initials: str = "AN") -> None:
    moves.check_name(NOBODY, person, name, initials)


def instrument(**more: Any) -> None:
    given = {"kind": "multimeter", "serial": "4711", "label": "bench meter", **more}
    instrument_moves.add(NOBODY, Wanted(**given), "bench")


@pytest.mark.parametrize(
    ("refuse", "about"),
    [
        (lambda: person(name="two\nlines"), "name"),
        (lambda: person(person="Ada!"), "person"),
        (lambda: person(initials="A-"), "initials"),
        (lambda: moves.check_roles(["chef"]), "roles"),
        (lambda: instrument(kind=""), "kind"),
        (lambda: instrument(serial=""), "serial"),
        (lambda: instrument(label="x" * 200), "label"),
        (lambda: instrument(due="31 June"), "due"),
        (lambda: parse_range("about 5 %"), "ranges"),
        (lambda: check_passphrase("short"), "phrase"),
        (lambda: check_passphrase("x" * 400), "phrase"),
        (lambda: check_passphrase("aaaaaaaaaaaaaaaaaaaa"), "phrase"),
    ],
)
def test_what_was_given_wrongly_is_named(refuse: Callable[[], None], about: str) -> None:
    with pytest.raises(RefusedError) as refused:
        refuse()
    assert Refusal.of(refused.value).line == about


def test_a_wrong_passphrase_is_about_the_line_it_was_typed_in() -> None:
    assert Refusal.of(PassphraseError("Wrong.")).line == "secret"


def test_what_is_about_nothing_of_its_own_names_no_line() -> None:
    assert not Refusal.of(RefusedError("Not now.")).line
    assert not Refusal.of(QuantityError("No number.")).line
