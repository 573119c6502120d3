"""The register's screen: who is shown, what a lead changes, what is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.tui.register.screen import RegisterScreen
from commission.tui.signing.form import SecretForm

if TYPE_CHECKING:
    from commission.record.bench import Bench

SIZES = [(80, 24), (120, 40)]
SPACE = {" ": "space", "-": "minus"}


async def type_lines(pilot: Any, *lines: str) -> None:
    """Type lines, each with Enter."""
    for line in lines:
        await pilot.press(*(SPACE.get(one, one) for one in line), "enter")
    await pilot.pause()


@pytest.fixture
def open_register(until: Any) -> Any:
    async def opened(pilot: Any) -> None:
        await until(pilot, lambda: pilot.app.bench is not None, "the bench")
        await pilot.press("f7")
        await until(pilot, lambda: isinstance(pilot.app.screen, RegisterScreen), "the register")

    return opened


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_people_are_shown_with_roles_and_keys(
    staffed: Bench, app_on: Any, open_register: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await open_register(pilot)
        await pilot.press("down")
        await pilot.pause()
        text = snapshot(app, f"register-{size[0]}x{size[1]}")
    key = staffed.book.register.key_now("ben")
    assert key is not None
    assert key.fingerprint in text


async def test_an_empty_register_says_what_it_means_and_how_to_begin(
    app_on: Any, open_register: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_register(pilot)
        assert "unsigned" in snapshot(app, "register-empty-80x24")


async def test_the_first_lead_is_added_by_keys_alone(
    bench: Bench, app_on: Any, open_register: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_register(pilot)
        await pilot.press("f2")
        await pilot.pause()
        await type_lines(
            pilot, "Ada Nwosu", "", "ada", "", "correct horse ada", "correct horse ada"
        )
        assert isinstance(app.screen, RegisterScreen)
        assert "Ada Nwosu" in shown(app)
    assert bench.book.register.person("ada").roles_now == {"lead", "technician"}


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_adding_a_person_takes_both_passphrases(
    staffed: Bench, app_on: Any, open_register: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await open_register(pilot)
        await pilot.press("f2")
        await pilot.pause()
        await type_lines(
            pilot, "Dag Holm", "technician", "dag", "", "another phrase", "another phrase", "ada"
        )
        await type_lines(pilot, "not her phrase")
        text = snapshot(app, f"register-add-{size[0]}x{size[1]}")
        assert "wrong try 1" in text
        assert "phrase" not in text.replace("passphrase", "")
        assert "dag" not in staffed.book.register.people
        await type_lines(pilot, "correct horse ada")  # the new passphrase is still there
        assert isinstance(app.screen, RegisterScreen)
    assert staffed.book.register.person("dag").initials == "DH"
    assert len(list(staffed.keys.folder.iterdir())) == 4


async def test_roles_renewal_revocation_and_retirement(
    staffed: Bench, app_on: Any, open_register: Any, shown: Any
) -> None:
    app = app_on()
    ada = ("ada", "correct horse ada")
    async with app.run_test(size=(80, 24)) as pilot:
        await open_register(pilot)
        await pilot.press("down", "f4")
        await pilot.pause()
        await pilot.press(*(["backspace"] * len("witness")))
        await type_lines(pilot, "technician witness", *ada)
        assert staffed.book.register.person("ben").roles_now == {"technician", "witness"}
        await pilot.press("f5")
        await pilot.pause()
        await type_lines(pilot, "lost", "a new phrase x", "a new phrase x", *ada)
        await pilot.press("f6")
        await pilot.pause()
        await type_lines(pilot, "stolen", *ada)
        assert staffed.book.register.key_now("ben") is None
        await pilot.press("f8")
        await pilot.pause()
        await type_lines(pilot, "moved away", *ada)
        assert not staffed.book.register.person("ben").is_active
        assert "retired" in shown(app)
        await pilot.press("f8")
        await pilot.pause()
        assert isinstance(app.screen, RegisterScreen), "nobody is retired twice"


async def test_f10_leaves_a_dialog_and_changes_nothing(
    staffed: Bench, app_on: Any, open_register: Any
) -> None:
    before = staffed.book.register
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_register(pilot)
        await pilot.press("f8")
        await pilot.pause()
        assert isinstance(app.screen, SecretForm)
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, RegisterScreen)
    assert before.seq == 3
