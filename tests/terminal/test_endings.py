"""Whatever ends the screens, they end in order: the right exit code, the terminal as it was."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from pathlib import Path

HOME = """
import sys
from commission.tui.app import run
code = run(None)
open(sys.argv[1], "w").write(str(code)) if len(sys.argv) > 1 else None
sys.exit(code)
"""
CRASHES = """
import sys
from commission.tui import app as shell

class Crashing(shell.CommissionApp):
    def action_find(self) -> None:
        passphrase = "correct horse"
        raise ValueError(f"wrong passphrase {passphrase}")

shell.CommissionApp = Crashing
sys.exit(shell.run(None))
"""


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_a_signal_ends_the_screens_in_order(terminal: Any, number: int, code: int) -> None:
    shown = terminal(terminal.python(HOME))
    shown.wait_for("No job yet")
    shown.signal(number)
    assert shown.wait_end() == code
    assert shown.is_restored


def test_leaving_by_a_key_is_exit_code_0(terminal: Any) -> None:
    shown = terminal(terminal.python(HOME))
    shown.wait_for("No job yet")
    shown.send("f10")
    assert shown.wait_end() == 0
    assert shown.is_restored


def test_a_dropped_link_ends_the_screens_and_says_129(terminal: Any, tmp_path: Path) -> None:
    told = tmp_path / "code"
    shown = terminal(terminal.python(HOME, str(told)))
    shown.wait_for("No job yet")
    shown.hang_up()
    assert shown.wait_end() == 129
    assert told.read_text() == "129"


def test_a_lost_keyboard_ends_the_screens_instead_of_spinning(terminal: Any) -> None:
    master, keyboard = os.openpty()
    shown = terminal(terminal.python(HOME), stdin=keyboard, controlling=False)
    os.close(keyboard)
    shown.wait_for("No job yet")
    os.close(master)
    began = time.monotonic()
    assert shown.wait_end(timeout=4) == 129
    assert time.monotonic() - began < 3


def test_without_a_terminal_one_sentence_and_exit_code_2(home: Path) -> None:
    outcome = subprocess.run(
        [sys.executable, "-c", HOME],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={**os.environ, "COMMISSION_HOME": str(home)},
        timeout=20,
        check=False,
    )
    assert outcome.returncode == 2
    assert "need a terminal" in outcome.stderr
    assert "commission --plain" in outcome.stderr
    assert "\x1b" not in outcome.stdout + outcome.stderr


def test_a_crash_says_one_sentence_and_writes_a_log_without_secrets(
    terminal: Any, home: Path
) -> None:
    shown = terminal(terminal.python(CRASHES))
    shown.wait_for("No job yet")
    shown.send("f9")
    assert shown.wait_end() == 70
    assert shown.is_restored
    assert "stopped because of a fault of its own" in shown.text.replace("\n", "")
    assert b"Traceback" not in shown.raw
    (log,) = home.glob("crash-*.log")
    assert stat.S_IMODE(log.stat().st_mode) == 0o600
    text = log.read_text()
    assert "ValueError" in text
    assert "in action_find" in text
    assert b"correct horse" not in shown.raw
    assert "correct horse" not in text


def test_an_idle_home_uses_almost_no_processor_time(terminal: Any) -> None:
    shown = terminal(terminal.python(HOME))
    shown.wait_for("No job yet")
    shown.settle(1.0)
    before = shown.cpu_s()
    time.sleep(1.5)
    assert shown.cpu_s() - before < 0.15
