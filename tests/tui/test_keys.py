"""Keys in order, and none for what was not on the screen when it was struck.

What only a real terminal shows (many keys in one packet) is in tests/terminal.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widgets import Input, Static

from commission.tui.keys import OrderedKeysApp

if TYPE_CHECKING:
    import pytest
    from textual.app import ComposeResult
    from textual.binding import BindingType


class Steps(OrderedKeysApp[None]):
    """Replaces its field by a new one at each Enter, slowly, as a step change does."""

    def __init__(self) -> None:
        super().__init__()
        self.taken: list[str] = []
        self.dropped = 0

    def compose(self) -> ComposeResult:
        yield Vertical(Input(), id="card")

    def keys_dropped(self, count: int) -> None:
        self.dropped += count

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        self.taken.append(event.value)
        with self.step_change():
            await asyncio.sleep(0.05)
            card = self.query_one("#card")
            await card.remove_children()
            field = Input()
            await card.mount(field)
            field.focus()


class Page(Screen[None]):
    """Counts the Enters that reach it."""

    BINDINGS: ClassVar[list[BindingType]] = [("enter", "take", "Take")]
    taken = 0

    def compose(self) -> ComposeResult:
        yield Static("page")

    def action_take(self) -> None:
        self.taken += 1


class Search(ModalScreen[None]):
    """Keeps what was typed ahead."""

    type_ahead = True

    def compose(self) -> ComposeResult:
        yield Input()


class Pages(OrderedKeysApp[None]):
    BINDINGS: ClassVar[list[BindingType]] = [
        ("enter", "open_page", "Open"),
        ("f9", "search", "Search"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.dropped = 0

    def keys_dropped(self, count: int) -> None:
        self.dropped += count

    def action_open_page(self) -> None:
        self.push_screen(Page())

    def action_search(self) -> None:
        self.push_screen(Search())


def strike(app: OrderedKeysApp[None], *keys: str) -> None:
    """Hand over keys all at once, as a stalled link or a scanner does."""
    for key in keys:
        app.post_message(events.Key(key, key if len(key) == 1 else None))


async def test_bound_keys_are_not_overtaken(until: Any) -> None:
    app: Any = Steps()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "4", "7", "5", "backspace", "6", "left", "0")
        await until(pilot, lambda: app.query_one(Input).value == "4706")


async def test_keys_for_a_step_that_was_not_shown_yet_are_dropped_and_counted(until: Any) -> None:
    app: Any = Steps()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "1", "enter", "2", "enter", "3", "enter")
        await until(pilot, lambda: app.dropped)
        assert app.taken == ["1"]
        assert app.dropped == 4
        assert app.query_one(Input).value == ""
        await pilot.press("5", "enter")
        await until(pilot, lambda: app.taken == ["1", "5"])
        assert app.dropped == 4


async def test_a_paste_waits_its_turn_too(until: Any) -> None:
    app: Any = Steps()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "1", "enter")
        app.post_message(events.Paste("2\n"))
        await until(pilot, lambda: app.dropped == 1)
        assert app.query_one(Input).value == ""
        app.post_message(events.Paste("3"))
        strike(app, "4")
        await until(pilot, lambda: app.query_one(Input).value == "34")


async def test_an_enter_struck_twice_does_not_confirm_on_the_screen_it_opens(until: Any) -> None:
    app: Any = Pages()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "enter", "enter", "enter")
        await until(pilot, lambda: isinstance(app.screen, Page) and app.dropped == 2)
        assert app.screen.taken == 0
        await pilot.press("enter")
        await until(pilot, lambda: app.screen.taken == 1)


async def test_a_search_keeps_what_was_typed_ahead(until: Any) -> None:
    app: Any = Pages()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "f9", "o", "p", "e", "n")
        await until(pilot, lambda: isinstance(app.screen, Search))
        await until(pilot, lambda: app.screen.query_one(Input).value == "open")
        assert app.dropped == 0


async def test_a_key_held_down_confirms_once(until: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(OrderedKeysApp, "REPEAT_S", 0.2)
    app: Any = Pages()
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Page))
        for _ in range(6):
            await pilot.press("enter")
        assert app.screen.taken == 0
        await asyncio.sleep(0.25)
        await pilot.press("enter")
        await until(pilot, lambda: app.screen.taken == 1)


async def test_another_key_ends_the_repeat(until: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(OrderedKeysApp, "REPEAT_S", 5.0)
    app: Any = Pages()
    async with app.run_test() as pilot:
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Page))
        await pilot.press("x", "enter")
        await until(pilot, lambda: app.screen.taken == 1)


async def test_a_slow_handler_keeps_the_next_key_waiting(until: Any) -> None:
    class Slow(OrderedKeysApp[None]):
        BINDINGS: ClassVar[list[BindingType]] = [("a", "wait", "Wait"), ("b", "note", "Note")]
        noted: ClassVar[list[str]] = []

        async def action_wait(self) -> None:
            await asyncio.sleep(0.7)
            self.noted.append("a done")

        def action_note(self) -> None:
            self.noted.append("b")

    app: Any = Slow()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "a", "b")
        await until(pilot, lambda: len(app.noted) == 2)
        assert app.noted == ["a done", "b"]


async def test_a_key_whose_widget_is_removed_does_not_block_the_next(until: Any) -> None:
    class Vanishing(OrderedKeysApp[None]):
        def compose(self) -> ComposeResult:
            yield Input(id="one")
            yield Input(id="two")

        async def on_input_changed(self, event: Input.Changed) -> None:
            if event.input.id == "one":
                await event.input.remove()
                self.query_one("#two").focus()

    app: Any = Vanishing()
    async with app.run_test() as pilot:
        await pilot.pause()
        strike(app, "a", "b", "c")
        await until(pilot, lambda: app.query_one("#two", Input).value == "bc")


async def test_dropped_keys_are_said_on_the_screen(until: Any, shown: Any) -> None:
    class Telling(Pages):
        def keys_dropped(self, count: int) -> None:
            OrderedKeysApp.keys_dropped(self, count)

    app: Any = Telling()
    async with app.run_test(notifications=True) as pilot:
        await pilot.pause()
        strike(app, "enter", "enter")
        await until(pilot, lambda: "was not taken" in shown(app).replace("\n", " "))
