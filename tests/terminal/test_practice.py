"""Practice in a real terminal: the command, keys in one packet at the bench, and what it leaves."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from commission.record.bench import Bench

if TYPE_CHECKING:
    from pathlib import Path

COMMAND = [sys.executable, "-m", "commission", "practice"]
SOUND = ["down", "enter"]


def begin(shown: Any) -> None:
    """Choose the first procedure and a sound bike."""
    shown.wait_for("15 min  Quick persistence check", timeout=30)
    shown.settle()
    shown.send("enter")
    shown.settle()
    shown.send(*SOUND)
    shown.wait_for("Read the frame number", timeout=30)
    shown.settle(quiet=0.4)


def test_keys_in_one_packet_do_at_the_bench_what_slow_ones_do(terminal: Any, home: Path) -> None:
    shown = terminal(COMMAND, size=(120, 40))
    begin(shown)
    shown.send("tab", *["down"] * 9, "enter", *["up"] * 9, "enter", "down", "down", "enter")
    shown.wait_for(r"Display +lit, mode low", timeout=20)
    shown.settle(quiet=0.4)
    assert "carries the bike" in shown.text
    assert "ALLOWED" in shown.text
    assert "stands still" in shown.text
    shown.send("down", "right", "right", "right", "right")
    shown.wait_for(r"turns FORWARD")
    shown.send("tab", *"DEMO-44", "backspace", *"417", "enter")
    shown.wait_for("Stand the bike on a work stand", timeout=20)
    shown.settle(quiet=0.4)
    shown.send("ctrl+q")
    assert shown.wait_end() == 0
    with Bench.open(home / "practice.db", create=False) as bench:
        (job,) = bench.jobs()
        answer = bench.look(job.job).steps["parts"].answer
    assert answer is not None
    assert answer.parts[""] == {"frame": "DEMO-4417"}
    assert job.practice


def test_keys_that_came_before_the_bench_was_shown_count_for_nothing(terminal: Any) -> None:
    shown = terminal(COMMAND, size=(80, 24))
    begin(shown)
    shown.send("tab", "enter")
    shown.wait_for("KEYS ARE HERE")
    shown.settle(quiet=0.4)
    assert "dark" in shown.text, "the key was not turned by what was struck before"
    shown.send("enter")
    shown.wait_for(r"Display +lit")


def test_what_was_wrong_stays_on_the_terminal_when_the_screens_are_gone(terminal: Any) -> None:
    shown = terminal([*COMMAND, "--fault", "phases-exchanged"], size=(80, 24))
    shown.wait_for("Read the frame number", timeout=30)
    shown.settle(quiet=0.4)
    shown.send("f10")
    shown.wait_for("End practice")
    shown.settle()
    shown.send("down", "enter")
    shown.wait_for("What was wrong", timeout=20)
    shown.settle()
    shown.send("ctrl+q")
    assert shown.wait_end() == 0
    assert shown.is_restored
    said = bytes(shown.raw).rpartition(b"\x1b[?1049l")[2].decode()
    assert "PRACTICE" in said
    assert "(phases-exchanged; can injure)" in " ".join(said.split())
