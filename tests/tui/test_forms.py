"""In every form the label of the line that is typed in stands out, and no other one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input

from commission.tui.signing.form import Line, Refusal, SecretForm
from commission.tui.start.screen import Start

if TYPE_CHECKING:
    from commission.record.bench import Bench


def marked(screen: Any) -> list[int]:
    """Return the places of the labels that stand out."""
    return [at for at, one in enumerate(screen.query(".label")) if one.text_style.bold]


async def test_in_a_dialog_of_lines_the_mark_goes_with_the_keys(app_on: Any) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        lines = (Line("name", "Name"), Line("role", "Role"), Line("secret", "Secret", secret=True))
        app.push_screen(SecretForm("Some lines", "", lines, lambda _: ""))
        await pilot.pause()
        seen = [marked(app.screen)]
        for key in ("down", "enter", "up", "up"):
            await pilot.press(key)
            await pilot.pause()
            seen.append(marked(app.screen))
        assert seen == [[0], [1], [2], [1], [0]]


LINES = (
    Line("name", "Name"),
    Line("day", "Day"),
    Line("phrase", "New passphrase", secret=True),
    Line("again", "Once more", secret=True),
    Line("lead", "Lead"),
    Line("secret", "The lead's", secret=True),
)


def values(screen: Any) -> list[str]:
    return [field.value for field in screen.query(Input)]


async def refused(app: Any, pilot: Any, told: str | Refusal) -> Any:
    """Fill a dialog, have it refused, and give it."""
    form = SecretForm("Some lines", "A text.", LINES, lambda _: told)
    app.push_screen(form)
    await pilot.pause()
    for at, field in enumerate(form.query(Input)):
        field.value = f"typed {at}"
    form.query_one("#secret").focus()
    await pilot.press("enter")
    await pilot.pause()
    return form


async def test_a_refusal_stands_above_its_line_which_has_the_keys_and_nothing_is_lost(
    app_on: Any,
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        form = await refused(app, pilot, Refusal("There is no 31 June.", "day"))
        day, said = form.query_one("#day"), form.query_one(".refusal")
        assert day.has_focus
        assert said.region.bottom == day.region.y
        assert values(form) == [f"typed {at}" for at in range(len(LINES))]


@pytest.mark.parametrize(
    ("line", "cleared"), [("secret", {5}), ("phrase", {2, 3}), ("again", {3}), ("", set())]
)
async def test_of_the_passphrases_only_the_refused_one_is_typed_again(
    app_on: Any, line: str, cleared: set[int]
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        form = await refused(app, pilot, Refusal("Not right.", line))
        assert {at for at, value in enumerate(values(form)) if not value} == cleared
        assert form.query_one(f"#{line or 'secret'}").has_focus


async def test_a_dialog_with_something_typed_asks_before_it_is_left(
    app_on: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        form = await refused(app, pilot, "Not right.")
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is form
        assert "What you typed would be lost" in shown(app)
        await pilot.press("a")
        await pilot.pause()
        assert "What you typed would be lost" not in shown(app), "typing on takes it back"
        await pilot.press("f10", "f10")
        await pilot.pause()
        assert app.screen is not form


async def test_in_the_form_of_a_new_job_the_mark_goes_with_the_keys(
    bench: Bench, app_on: Any, until: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(app.screen, Start), "the form")
        fields = list(app.screen.query("Horizontal Field"))
        for at in (1, 2, 0):
            fields[at].focus()
            await pilot.pause()
            assert marked(app.screen) == [at]
    assert not bench.jobs()
