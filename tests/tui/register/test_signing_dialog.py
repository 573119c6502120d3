"""Signing in a job on the screen: passphrase, short form, idle lock, wrong tries, leaving."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.job import moves
from commission.procedure.load import loads
from commission.record.verifying import examine_stream, known_register
from commission.tui.job.form import Form
from commission.tui.job.screen import JobScreen
from commission.tui.signing.form import SecretForm

if TYPE_CHECKING:
    from commission.record.bench import Bench

SPACE = {" ": "space", "-": "minus", "=": "equals_sign"}
STEPS = """
procedure: signing
revision: 1
title: Signing
purpose: To sign on the screen.
stages:
  - id: only
    title: The only stage
    steps:
      - {id: lamp, kind: confirm, title: Light the lamp, hold: witness}
      - {id: done, kind: sign_off, title: Sign the work, meaning: done}
      - {id: release, kind: sign_off, title: Release the bike, meaning: released, role: lead}
"""


async def type_line(pilot: Any, text: str) -> None:
    await pilot.press(*(SPACE.get(one, one) for one in text), "enter")
    await pilot.pause()


@pytest.fixture
def job(staffed: Bench) -> str:
    """A job that waits at its hold point."""
    people = {"ada": ("technician", "lead"), "ben": ("witness",)}
    with staffed.start(loads(STEPS), {"frame": "OFR-1"}, people, "ada") as session:
        given = {"value": "done"}
        session.record(moves.submit(session.state, "lamp", given, "Ada Nwosu", session.now()))
        return session.job


@pytest.fixture
def open_job(until: Any) -> Any:
    async def opened(pilot: Any) -> Any:
        await until(pilot, lambda: isinstance(pilot.app.screen, JobScreen), "the job")
        await until(pilot, lambda: pilot.app.screen._mode is not None, "the card")
        return pilot.app.screen

    return opened


async def to_the_signature(pilot: Any, screen: Any) -> None:
    """Go to the passphrase of the hold's witness."""
    if screen.session.state.reread:
        await pilot.press("space", "enter")
        await pilot.pause()
    await pilot.press("enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Form)
    for text in ("ben", "yes", ""):
        await type_line(pilot, text)
    assert isinstance(pilot.app.screen, SecretForm)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_whole_job_is_signed_by_keys(
    staffed: Bench, job: str, app_on: Any, open_job: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on(job)
    async with app.run_test(size=size) as pilot:
        screen = await open_job(pilot)
        await to_the_signature(pilot, screen)
        text = snapshot(app, f"signing-{size[0]}x{size[1]}")
        assert "Ben Ito" in text
        await type_line(pilot, "not his phrase")
        assert "wrong try 1" in snapshot(app, f"signing-wrong-{size[0]}x{size[1]}")
        await type_line(pilot, "correct horse ben")
        assert "1 wrong passphrase was typed" in snapshot(app, f"signing-open-{size[0]}x{size[1]}")
        await type_line(pilot, "")
        assert app.screen is screen
        await type_line(pilot, "=")
        await type_line(pilot, "correct horse ada")
        await type_line(pilot, "4711")
        assert screen.session.state.steps["done"].status == "passed"
        await type_line(pilot, "=")
        assert isinstance(app.screen, SecretForm)
        await type_line(pilot, "4711")
        assert screen.session.state.outcome == "released"
    examined = examine_stream(staffed.store, job, None, known_register(staffed.store))
    assert examined.is_whole, examined.fault
    assert examined.signed is not None
    assert examined.signed.good == 3


async def test_leaving_the_signature_records_nothing(
    staffed: Bench, job: str, app_on: Any, open_job: Any, shown: Any
) -> None:
    app = app_on(job)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_job(pilot)
        before = screen.session.state.seq
        await to_the_signature(pilot, screen)
        before = screen.session.state.seq
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        assert "This takes Ben Ito's signature (confirmed)" in shown(app)
        assert screen.session.state.seq == before
    assert staffed.book.register.person("ben").failures == 0


async def test_a_job_is_ended_for_good_only_with_a_signature(
    job: str, app_on: Any, open_job: Any, shown: Any
) -> None:
    app = app_on(job)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_job(pilot)
        await pilot.press("shift+f10")
        await pilot.pause()
        for text in ("abandoned", "no parts", "yes"):
            await type_line(pilot, text)
        assert isinstance(app.screen, SecretForm)
        assert "this job ends for good and its bike is not released" in shown(app)
        await pilot.press("f10")
        await pilot.pause()
        assert screen.session.state.outcome == ""
        await pilot.press("enter")
        await pilot.pause()
        await type_line(pilot, "correct horse ada")
        await type_line(pilot, "")
        assert screen.session.state.outcome == "abandoned"
        assert screen.session.recent(1)[0].body["signature"]["meaning"] == "ended"


async def test_what_is_typed_unseen_is_nowhere_on_the_screen(
    job: str, app_on: Any, open_job: Any, shown: Any
) -> None:
    app = app_on(job)
    async with app.run_test(size=(80, 24)) as pilot:
        await to_the_signature(pilot, await open_job(pilot))
        await pilot.press(*"secret")
        await pilot.pause()
        assert "secret" not in shown(app)
        assert "••••••" in shown(app)


async def test_the_form_for_a_new_job_offers_the_register(
    staffed: Bench, app_on: Any, until: Any, snapshot: Any
) -> None:
    from commission.tui.start.screen import Start
    from commission.tui.widgets import Field

    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, Start), "the form")
        await until(pilot, lambda: app.screen._able, "the register")
        snapshot(app, "start-registered-80x24")
        assert app.screen.query_one("#technician", Field).value == "Ada Nwosu"
        assert app.screen.query_one("#witness", Field).value == "Ben Ito"
        app.screen.query_one("#frame", Field).value = "OFR-2"
        app.screen.query_one("#lead", Field).value = "Zoe"
        await pilot.press("f2")
        await until(pilot, lambda: "Zoe is not in the register" in str(
            app.screen.query_one("#said").render()), "the refusal")  # fmt: skip
        app.screen.query_one("#lead", Field).value = "CE"
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, JobScreen), "the job")
        state = app.screen.session.state
        assert dict(state.ids) == {"Ada Nwosu": "ada", "Ben Ito": "ben", "Cleo Ek": "cleo"}
        assert app.technician == "Ada Nwosu"
    assert len(staffed.jobs()) == 1


async def test_leaving_after_the_passphrase_signs_nothing_then_or_later(
    job: str, app_on: Any, open_job: Any
) -> None:
    app = app_on(job)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_job(pilot)
        await to_the_signature(pilot, screen)
        await type_line(pilot, "correct horse ben")
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, SecretForm), "the passphrase is asked for again"
        assert screen.session.state.steps["lamp"].status == "waiting for hold"


async def test_an_idle_bench_asks_for_the_passphrase_again(
    staffed: Bench, job: str, app_on: Any, open_job: Any, shown: Any
) -> None:
    staffed.sitting.unlock("ben", "correct horse ben", "4711")
    staffed.sitting.spend("ben")
    staffed.sitting.idle_s = 0.0
    app = app_on(job)
    async with app.run_test(size=(80, 24)) as pilot:
        await to_the_signature(pilot, await open_job(pilot))
        assert "Passphrase" in shown(app)
