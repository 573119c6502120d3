"""What holds on every screen: key bar, help, search, themes, and a window that is too small."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

import pytest
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from commission.safe_text import safe_text
from commission.tui.app import CommissionApp
from commission.tui.help import GENERAL, HelpPage
from commission.tui.home.screen import Home
from commission.tui.palette import Command, Palette, commands_of, found
from commission.tui.small import TooSmall
from commission.tui.start.screen import Start
from commission.tui.themes import DARK, LIGHT
from commission.tui.widgets import MOST_KEYS, KeyBar, Plain, TitleBar, key_name, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult


class Crowded(Screen[None]):
    """More keys than there is room for, and one that cannot be used now."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "one", "Two", id="two"),
        Binding("f3", "one", "Three", id="three"),
        Binding("f4", "no", "Four", id="four"),
        Binding("f5", "one", "Five [b]", id="five"),
        Binding("f6", "one", "Six", id="six"),
        Binding("f7", "one", "Seven", id="seven"),
        Binding("f8", "one", "Eight", id="eight"),
        Binding("enter", "one", "Take", id="take"),
    ]
    done = 0
    about = "A crowded screen [/b]."

    def compose(self) -> ComposeResult:
        yield TitleBar("left", "right")
        yield KeyBar()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        del parameters
        return None if action == "no" else True

    def action_one(self) -> None:
        self.done += 1

    def commands(self) -> list[Command]:
        return [Command(f"Step {number}", self.action_one, "a step") for number in range(1, 4)]


class Trial(CommissionApp):
    def get_default_screen(self) -> Screen[None]:
        return Crowded()


async def test_key_bar_shows_the_six_most_important_keys_that_do_something_now(
    until: Any, shown: Any
) -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "Take" in shown(app))
        bar = shown(app).splitlines()[-1]
        assert bar == " Enter Take  F1 Help  F2 Two  F3 Three  F5 Five [b]  F6 Six"
        assert MOST_KEYS == 6
        await pilot.click(KeyBar, offset=(3, 0))
        await until(pilot, lambda: app.screen.done == 1)


@pytest.mark.parametrize("screen", ["home", "start"])
async def test_all_keys_of_the_bar_fit_into_80_columns(
    app_on: Any, until: Any, shown: Any, screen: str
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "No job yet" in shown(app))
        if screen == "start":
            await pilot.press("f2")
            await until(pilot, lambda: isinstance(app.screen, Start))
        await pilot.pause()
        bar = app.screen.query_one(KeyBar)
        assert bar.content.cell_length <= 78
        assert str(bar.content).split("  ")[-1] in shown(app).splitlines()[-1]


async def test_help_is_written_from_the_bindings(
    app_on: Any, until: Any, shown: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(100, 40)) as pilot:
        await until(pilot, lambda: "No job yet" in shown(app))
        await pilot.press("f1")
        await until(
            pilot, lambda: isinstance(app.screen, HelpPage) and "Good to know" in shown(app)
        )
        text = snapshot(app, "help-100x40")
        for binding in Home.BINDINGS:
            if (
                isinstance(binding, Binding)
                and binding.id
                and binding.tooltip
                and binding.action not in {"open", "report"}  # there is no job
            ):
                assert binding.tooltip in text
        assert all(sentence[:40] in text for sentence in GENERAL)
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Home))


async def test_help_says_what_cannot_be_done_now_and_shows_brackets_as_they_are(
    until: Any, shown: Any
) -> None:
    app: Any = Trial()
    async with app.run_test(size=(100, 40)) as pilot:
        await until(pilot, lambda: "Take" in shown(app))
        await pilot.press("f1")
        await until(pilot, lambda: "Good to know" in shown(app))
        assert "A crowded screen [/b]." in shown(app)
        assert "Four   (not now)" in shown(app)
        assert "Five [b]" in shown(app)


async def test_search_finds_steps_and_commands_and_runs_the_one_chosen(
    until: Any, shown: Any
) -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "Take" in shown(app))
        crowded = app.screen
        await pilot.press("f9")
        await until(pilot, lambda: isinstance(app.screen, Palette) and "Step 1" in shown(app))
        await pilot.press(*"st 2")
        await until(pilot, lambda: "Step 1" not in shown(app))
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is crowded and crowded.done == 1)


async def test_search_without_a_find_says_so_and_f10_leaves_it(until: Any, shown: Any) -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "Take" in shown(app))
        crowded = app.screen
        await pilot.press("ctrl+p")
        await until(pilot, lambda: isinstance(app.screen, Palette))
        await pilot.press(*"zzz")
        await until(pilot, lambda: "Nothing has these letters" in shown(app))
        await pilot.press("enter")
        assert isinstance(app.screen, Palette)
        await pilot.press("f10")
        await until(pilot, lambda: app.screen is crowded)
        assert crowded.done == 0


async def test_search_offers_what_has_a_key_and_nothing_of_the_library() -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await pilot.pause()
        titles = [command.title for command in commands_of(app, app.screen)]
        assert titles[:3] == ["Step 1", "Step 2", "Step 3"]
        assert {"Two", "Help", "Quit", "Dark or light"} <= set(titles)
        assert not {"Four", "Find", "Screenshot"} & set(titles)


def test_search_puts_the_start_of_a_title_first() -> None:
    commands = [
        Command("Measure the pack", print, "reading"),
        Command("The pack's label", print),
        Command("Pack in", print),
        Command("Unpack", print),
    ]
    assert [one.title for one in found(commands, "pack")] == [
        "Pack in", "Measure the pack", "The pack's label", "Unpack",
    ]  # fmt: skip
    assert found(commands, "") == tuple(commands)
    assert found(commands, "reading meas") == (commands[0],)


@pytest.mark.parametrize("size", [(59, 24), (80, 17), (20, 5), (1, 1)])
async def test_a_window_that_is_too_small_says_so_and_takes_no_keys(
    until: Any, shown: Any, size: tuple[int, int]
) -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await until(pilot, lambda: "Take" in shown(app))
        crowded = app.screen
        await pilot.resize_terminal(*size)
        await until(pilot, lambda: isinstance(app.screen, TooSmall))
        if size[0] > 20:
            assert "Window too small" in shown(app)
        await pilot.press("enter", "f2", "f9", "f1", "f10")
        assert crowded.done == 0
        assert isinstance(app.screen, TooSmall)
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: app.screen is crowded)
        await pilot.press("enter")
        await until(pilot, lambda: crowded.done == 1)


async def test_a_screen_opened_in_a_small_window_is_covered_too(until: Any) -> None:
    app: Any = Trial()
    async with app.run_test(size=(50, 20)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, TooSmall))
        second = Crowded()
        app.push_screen(second)
        await until(pilot, lambda: isinstance(app.screen, TooSmall) and len(app.screen_stack) == 4)
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: app.screen is second)
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, Crowded) and app.screen is not second)


async def test_theme_changes_by_a_key(until: Any) -> None:
    app: Any = Trial()
    async with app.run_test() as pilot:
        await pilot.pause()
        assert app.theme == DARK
        await pilot.press("f12")
        await until(pilot, lambda: app.theme == LIGHT)


async def test_nothing_is_animated() -> None:
    app: Any = Trial()
    async with app.run_test():
        assert app.animation_level == "none"


@pytest.mark.parametrize(
    "text", ["[/b]", "[red]U[/]", "\x1b[31m", "a\x00b", "a\u202eb", "[x] [on]"]
)
async def test_no_text_is_markup_or_an_escape_sequence(text: str) -> None:
    class Showing(CommissionApp):
        def get_default_screen(self) -> Screen[None]:
            return Screen()

        def on_mount(self) -> None:
            self.mount(Plain(text, id="one"), Static(plain(text), id="two"))

    app: Any = Showing()
    async with app.run_test() as pilot:
        await pilot.pause()
        for name in ("#one", "#two"):
            seen = str(app.query_one(name, Static).content)
            assert seen == safe_text(text)
            assert len(seen) == len(text)
            assert seen.isprintable()


def test_keys_are_named_as_on_a_keyboard() -> None:
    names = [key_name(Binding(key, "x")) for key in ("f2", "ctrl+q", "pagedown", "enter", "escape")]
    assert names == ["F2", "Ctrl+Q", "PgDn", "Enter", "Esc"]


def test_pictures_load_nothing_from_outside() -> None:
    pictures = list((Path(__file__).parents[1] / "snapshots").glob("*.svg"))
    assert pictures
    for picture in pictures:
        text = picture.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert "http" not in text, picture.name
        assert "url(" not in text.replace("url(#", ""), picture.name
        assert "@font-face" not in text, picture.name
