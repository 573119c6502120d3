"""A calculator in a real terminal: keys in one packet, and the copy that the terminal is sent."""

from __future__ import annotations

import base64
from typing import Any

PROGRAM = """
import sys
from commission.tui.app import CommissionApp
from commission.tui.calculators.form import CalculatorForm

class Calculating(CommissionApp):
    def get_default_screen(self):
        return CalculatorForm("pack-sag")

Calculating().run()
"""


def test_fields_typed_in_one_packet_come_to_the_same_as_slow_typing(terminal: Any) -> None:
    shown = terminal(terminal.python(PROGRAM))
    shown.wait_for("No result yet")
    shown.settle()
    shown.send(*"84", "enter", *"5", "backspace", *"50", "down", *"100")
    # By hand: 84 V - 100 A * 50 mOhm.
    shown.wait_for(r"terminal voltage under load\s+79\.00")
    shown.send("f2")
    shown.settle()
    sent = bytes(shown.raw)
    assert b"\x1b]52;c;" in sent
    copied = base64.b64decode(sent.split(b"\x1b]52;c;")[1].split(b"\x07")[0]).decode()
    assert "terminal voltage under load = 79.00 V" in copied
