"""`commission audit` in a real terminal: a whole audit typed in few packets, and its record."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from pathlib import Path


F3 = "\x1bOR"


@pytest.fixture
def run(home: Path) -> Any:
    environment = {**os.environ, "COMMISSION_HOME": str(home)}
    environment.pop("COMMISSION_STORE", None)

    def call(*words: str) -> Any:
        return subprocess.run(
            [sys.executable, "-m", "commission", *words], capture_output=True, text=True,
            check=False, env=environment, stdin=subprocess.DEVNULL,
        )  # fmt: skip

    return call


def test_an_audit_is_made_by_few_keys_and_its_record_is_verified(
    terminal: Any, run: Any, home: Path
) -> None:
    store = str(home / "bench.db")
    made = run("practice", "quick-persistence", "--auto", "--plain", "--hand", "copies",
               "--store", store)  # fmt: skip
    assert made.returncode == 0, made.stderr
    shown = terminal([sys.executable, "-m", "commission", "audit", "--store", store])
    shown.wait_for("No audit is kept")
    shown.settle()
    shown.send("f2")
    shown.wait_for("practice left out")
    shown.settle()
    shown.send(*"yearly", "enter", *"Olaa", "backspace", *[" "], *"Brandt", "enter")
    shown.send(*["down"] * 6, "backspace", "backspace", *"yes")
    shown.wait_for("1 of 1, digest")
    shown.settle()
    shown.send("f2")
    shown.wait_for("Nothing was found")
    shown.wait_for("by Ola Brandt +OPEN")
    shown.settle()
    shown.send(F3)
    shown.wait_for("1 job audited")
    shown.settle()
    shown.send("enter")
    shown.wait_for("Whole: [0-9]+ entries")
    shown.settle()
    shown.send("f10")
    shown.wait_for("Nothing was found")
    shown.settle(quiet=0.4)
    shown.send("f10")
    shown.wait_for("yearly, by Ola Brandt")
    shown.settle(quiet=0.4)  # or it is the same stroke, held down
    shown.send("f10")
    assert shown.wait_end() == 0
    assert shown.is_restored
    listed = run("audit", "list", "--store", store).stdout
    assert "Ola Brandt  yearly" in listed
    verified = run("verify", listed.split()[0], "--store", store)
    assert verified.returncode == 0, verified.stderr


def test_without_a_terminal_it_says_what_does_without(run: Any) -> None:
    done = run("audit")
    assert done.returncode == 2
    assert "need a terminal" in done.stderr


def test_a_store_that_cannot_be_opened_is_said_on_the_screen(terminal: Any, home: Path) -> None:
    store = home / "bench.db"
    store.write_bytes(b"this is no store at all, and never was one" * 100)
    shown = terminal([sys.executable, "-m", "commission", "audit", "--store", str(store)])
    shown.wait_for("The audits cannot be shown")
    shown.settle()
    shown.send("f10")
    assert shown.wait_end() == 0
