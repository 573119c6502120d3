"""Keys in one packet have the effect they have when struck one by one, or none at all."""

from __future__ import annotations

import time
from typing import Any

import pytest

FIELDS = """
from textual.widgets import Input, Static
from commission.tui.keys import OrderedKeysApp

class Two(OrderedKeysApp):
    def compose(self):
        yield Input(id="one")
        yield Input(id="two")
        yield Static(id="said")
    def on_mount(self):
        self.say()
    def on_input_changed(self, event):
        self.say()
    def on_input_submitted(self, event):
        self.screen.focus_next()
    def say(self):
        one, two = (self.query_one(name).value for name in ("#one", "#two"))
        self.query_one("#said").update(f"READY <{one}|{two}>")

Two().run()
"""
STEPS = """
from textual.containers import Vertical
from textual.widgets import Input, Static
from commission.tui.keys import OrderedKeysApp

class Steps(OrderedKeysApp):
    taken = []
    def compose(self):
        yield Vertical(Input(), id="card")
        yield Static("READY <>", id="said")
    async def on_input_submitted(self, event):
        self.taken.append(event.value)
        self.query_one("#said").update(f"READY <{'|'.join(self.taken)}>")
        with self.step_change():
            card = self.query_one("#card")
            await card.remove_children()
            field = Input()
            await card.mount(field)
            field.focus()

Steps().run()
"""
HOME = "import sys\nfrom commission.tui.app import run\nsys.exit(run(None))"


@pytest.mark.parametrize(
    ("keys", "comes_to"),
    [
        ([*"47.5", "backspace", "6"], "<47.6|>"),
        ([*"12", "tab", *"34"], "<12|34>"),
        ([*"12", "enter", *"34", "backspace", "5"], "<12|35>"),
        ([*"ab", "left", "c", "tab", "d", "home", "e"], "<acb|ed>"),
    ],
    ids=["correction", "tab", "scanner", "arrows"],
)
def test_a_burst_comes_to_the_same_as_slow_typing(
    terminal: Any, keys: list[str], comes_to: str
) -> None:
    shown = terminal(terminal.python(FIELDS))
    shown.wait_for("READY")
    shown.settle()
    shown.send(*keys)
    shown.settle()
    assert comes_to in shown.text


def test_a_burst_of_answers_confirms_one_step_and_says_that_the_rest_was_not_taken(
    terminal: Any,
) -> None:
    shown = terminal(terminal.python(STEPS))
    shown.wait_for("READY")
    shown.settle()
    shown.send("1", "enter", "2", "enter", "3", "enter", "4", "enter")
    shown.wait_for("were not taken")
    shown.settle()
    assert "READY <1>" in shown.text


def test_answers_at_a_persons_pace_are_all_taken(terminal: Any) -> None:
    shown = terminal(terminal.python(STEPS))
    shown.wait_for("READY")
    shown.settle()
    for key in ("1", "enter", "2", "enter", "3", "enter"):
        shown.send(key)
        time.sleep(0.3)
    shown.settle()
    assert "READY <1|2|3>" in shown.text


def test_a_scan_into_the_form_lands_in_its_field_only(terminal: Any) -> None:
    shown = terminal(terminal.python(HOME))
    shown.wait_for("No job yet")
    shown.settle()
    shown.send("f2")
    shown.wait_for("Exchange of a motor controller")
    shown.settle()
    shown.send("enter", *"OFR-2031-0042", "enter", *"trail bike")
    shown.settle()
    lines = [line for line in shown.text.splitlines() if "Frame number" in line or "Bike " in line]
    assert "OFR-2031-0042 " in lines[-2]
    assert "trail bike" in lines[-1]


@pytest.mark.parametrize("env", [{"TERM": "xterm", "COLORTERM": ""}, {"NO_COLOR": "1"}])
def test_home_is_readable_with_16_colours_and_none(terminal: Any, env: dict[str, str]) -> None:
    shown = terminal(terminal.python(HOME), env=env)
    shown.wait_for("Press F2 to start the first one")
    shown.settle()
    for row in range(24):
        for column in range(80):
            cell = shown.emulated.buffer[row][column]
            if cell.data.strip():
                assert (cell.fg, cell.reverse) != (cell.bg, False)


def test_a_window_made_too_small_says_so_and_made_larger_shows_all_again(terminal: Any) -> None:
    shown = terminal(terminal.python(HOME))
    shown.wait_for("No job yet")
    shown.settle()
    shown.resize(50, 15)
    shown.wait_for("Window too small")
    shown.resize(80, 24)
    shown.wait_for("No job yet")
