"""The screens against bare floors: the first paint, a long list, an answer, the command alone.

Each figure is a ratio to a floor measured in the same run, program by program in turns, so that a
busy machine slows both. Times are from the start of the process, or the stroke of the key, to the
output after which the emulated screen shows what is waited for.
"""

from __future__ import annotations

import importlib.util
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

RUNS = 9
ROOT = Path(__file__).parents[2]
BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("PAINTED")
Bare().run()
"""
BARE_ANSWER = """
import sqlite3, sys
from textual.app import App
from textual.widgets import Static
class Bare(App):
    BINDINGS = [("enter", "answer", "")]
    done = 0
    def on_mount(self):
        self.db = sqlite3.connect(sys.argv[1])
        self.db.execute("PRAGMA journal_mode=WAL")
        self.db.execute("PRAGMA synchronous=FULL")
        self.db.execute("CREATE TABLE entry (line BLOB)")
    def compose(self):
        yield Static("DONE 0.")
    def action_answer(self):
        self.done += 1
        with self.db:
            self.db.execute("INSERT INTO entry VALUES (?)", (b"x" * 400,))
        self.query_one(Static).update(f"DONE {self.done}.")
Bare().run()
"""
SCREENS = "import sys\nfrom commission.tui.app import run\nsys.exit(run(None, *sys.argv[1:]))"
ANSWERS = 24


def _terminal_class() -> type[Any]:
    path = ROOT / "tests" / "terminal" / "conftest.py"
    spec = importlib.util.spec_from_file_location("terminal_harness", path)
    if spec is None or spec.loader is None:
        raise RuntimeError(f"{path} cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    harness: type[Any] = module.Terminal
    return harness


def _result(name: str, measured: float, floor: float, aim: float) -> dict[str, Any]:
    return {
        "name": name, "measured": round(measured * 1e3, 2), "floor": round(floor * 1e3, 2),
        "unit": "ms", "ratio": round(measured / floor, 2), "aim": aim,
    }  # fmt: skip


def _in_turns(*measures: Callable[[], float]) -> list[float]:
    """Return the median of each, measured in turns after one round that does not count."""
    rounds = [[measure() for measure in measures] for _ in range(RUNS + 1)][1:]
    return [statistics.median(times) for times in zip(*rounds, strict=True)]


def _paint(program: str, pattern: str, home: Path, *arguments: str) -> float:
    command = [sys.executable, "-c", program, *arguments]
    shown = _terminal_class()(command, env={"COMMISSION_HOME": str(home)})
    try:
        return float(shown.wait_for(pattern) - shown.started)
    finally:
        shown.close()


def bench_first_paint_of_home() -> dict[str, Any]:
    """Home on the screen, before its jobs are read, against one line of text."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        measured, floor = _in_turns(
            lambda: _paint(SCREENS, "Reading the bench", home),
            lambda: _paint(BARE, "PAINTED", home),
        )
    return _result("first paint of Home / bare Textual app", measured, floor, 1.6)


def bench_home_with_200_jobs() -> dict[str, Any]:
    """Home with 200 jobs read and listed, against one line of text."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        _jobs(home, 200)
        measured, floor = _in_turns(
            lambda: _paint(SCREENS, r"Open jobs \(200\)", home),
            lambda: _paint(BARE, "PAINTED", home),
        )
    return _result("200 jobs listed / bare Textual app", measured, floor, 3)


def bench_answer_durable_and_repainted() -> dict[str, Any]:
    """Enter until the next step is on the screen, against a bare commit and a bare repaint."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        (job,) = _jobs(home, 1)
        ours = _terminal_class()(
            [sys.executable, "-c", SCREENS, job], env={"COMMISSION_HOME": str(home)}
        )
        bare = _terminal_class()([sys.executable, "-c", BARE_ANSWER, str(home / "bare.db")])
        try:
            ours.wait_for("Do action number 01")
            bare.wait_for("DONE 0")
            rounds = [
                (_answer(ours, number), _answer_bare(bare, number))
                for number in range(1, ANSWERS + 1)
            ][4:]
        finally:
            ours.close()
            bare.close()
    measured, floor = (statistics.median(times) for times in zip(*rounds, strict=True))
    return _result("answer, durable, repainted / bare commit and repaint", measured, floor, 3)


def _answer(shown: Any, number: int) -> float:
    shown.settle(0.1)
    # A key held down counts once: the next Enter comes as late as a person's would.
    time.sleep(0.3)
    shown.send(" ")
    shown.settle(0.1)
    struck = shown.send("enter")
    return float(shown.wait_for(f"Do action number {number + 1:02}") - struck)


def _answer_bare(shown: Any, number: int) -> float:
    shown.settle(0.1)
    struck = shown.send("enter")
    return float(shown.wait_for(rf"DONE {number}\.") - struck)


def bench_version() -> dict[str, Any]:
    """`commission --version` against an interpreter that does nothing."""
    measured, floor = _in_turns(
        lambda: _run("-m", "commission", "--version"), lambda: _run("-c", "pass")
    )
    return _result("commission --version / python -c pass", measured, floor, 8)


def _run(*arguments: str) -> float:
    began = time.perf_counter()
    subprocess.run(
        [sys.executable, *arguments],
        check=True,
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return time.perf_counter() - began


def _jobs(home: Path, count: int) -> list[str]:
    """Return the ids of so many new jobs on one bench."""
    from commission.procedure.load import loads
    from commission.record.bench import Bench

    steps = "\n".join(
        f"      - {{id: step{number}, kind: confirm, title: Do action number {number:02}}}"
        for number in range(1, ANSWERS + 8)
    )
    loaded = loads(
        "procedure: trial\nrevision: 1\ntitle: A trial of many steps\npurpose: To be measured.\n"
        f"stages:\n  - id: only\n    title: Only stage\n    steps:\n{steps}\n"
    )
    made = []
    with Bench.open(home / "bench.db") as bench:
        for number in range(count):
            bike = {"frame": f"OFR-{number:04}"}
            with bench.start(loaded, bike, {"Ada": ("technician",)}, "Ada") as session:
                made.append(session.job)
    return made
