"""What all tests of the screens share: pictures of screens, and keys that need no pauses."""

from __future__ import annotations

import asyncio
import difflib
import itertools
import os
import re
import time
from collections import Counter
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from rich.style import Style
from textual._context import active_app
from textual._wait import wait_for_idle

from commission.procedure.load import loads
from commission.record.bench import Bench
from commission.record.clocks import Clocks
from commission.tui.app import CommissionApp
from commission.tui.keys import OrderedKeysApp

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.app import App

STEADY_DIGEST = "01234567"
SNAPSHOTS = Path(__file__).parents[1] / "snapshots"
UPDATE = os.environ.get("COMMISSION_SNAPSHOTS") == "update"
_FONT_FACE = re.compile(r"@font-face\s*\{.*?\}\s*", re.DOTALL)
_COMMENT = re.compile(r"<!--.*?-->\s*", re.DOTALL)
_UNIQUE = re.compile(r"terminal-\d+-")
_DIGEST = re.compile(
    r"(\br\d+|\bhead|\bdigest|\b[Ss]eed)((?: |&#160;)+)"
    r"(?:[0-9a-f]{8}\b|[0-9a-f]{16}(?=…)|[0-9a-f]{32}(?=…))"
)
"""A procedure's behind its revision, a record's head, and what is made of heads: they follow every
edit of a checklist."""


NOW = datetime(2031, 5, 6, 12, 30, tzinfo=UTC)
TRIAL = """
procedure: trial
revision: 2
title: Trial of the brakes
purpose: To have something to do.
stages:
  - id: only
    title: The only stage
    steps:
      - {id: stand, kind: confirm, title: Put the bike on the stand}
      - {id: wheel, kind: confirm, title: Turn the rear wheel by hand}
      - {id: lever, kind: confirm, title: Pull the brake lever}
"""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """An empty bench with clocks that go on by a second each time and ids in order."""
    seconds = itertools.count()
    start = int(datetime(2031, 5, 6, 9, 0, tzinfo=UTC).timestamp())
    clocks = Clocks(
        lambda: (start + next(seconds)) * 1_000_000, itertools.count(0, 10**9).__next__, "boot"
    )
    letters = ("".join(four) for four in itertools.product("BCDF", repeat=4))
    opened = Bench.open(
        tmp_path / "bench" / "bench.db", "bench", clocks=clocks, letters=letters.__next__
    )
    yield opened
    opened.close()


@pytest.fixture
def start_job(bench: Bench) -> Callable[..., Any]:
    """Start a job on the trial procedure; gives its session, which the test closes."""

    def start(
        frame: str, by: str = "Ada Nwosu", model: str = "trail bike", **more: tuple[str, ...]
    ) -> Any:
        people = {by: ("technician",), "Ben Ito": ("witness",), **more}
        return bench.start(loads(TRIAL), {"frame": frame, "model": model}, people, by)

    return start


@pytest.fixture
def app_on(bench: Bench) -> Callable[..., CommissionApp]:
    """Make the app on that bench; tests run it."""

    def make(job: str | None = None) -> CommissionApp:
        return CommissionApp(job=job, opener=lambda: bench, now=lambda: NOW)

    return make


@pytest.fixture
def until() -> Callable[..., Any]:
    """Wait until a condition holds, without sleeping blindly."""

    async def wait(pilot: Any, condition: Callable[[], object], what: str = "") -> None:
        end = time.monotonic() + 30  # a busy machine is no failure
        while not condition():
            if time.monotonic() > end:
                pytest.fail(f"never came: {what or condition}\n{screen_text(pilot.app)}")
            await pilot.pause(0.02)
        # Until what is there has been painted, keys count for nothing.
        await pilot.pause()

    return wait


@pytest.fixture(autouse=True)
def steady(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """Make screens the same everywhere, and take each key though a test strikes fast."""
    monkeypatch.setenv("COMMISSION_HOME", str(tmp_path / "bench"))
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.delenv("COMMISSION_THEME", raising=False)
    monkeypatch.delenv("COMMISSION_STORE", raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr(OrderedKeysApp, "REPEAT_S", 0.0)
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture(autouse=True)
def settling(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let Pilot wait until an app has settled, where it would watch the processor be at rest.

    What it does alone takes 40 ms and more for each key, and is a guess.
    """
    monkeypatch.setattr("textual.app.wait_for_idle", settled)
    monkeypatch.setattr("textual.pilot.wait_for_idle", settled)


async def settled(*_: float) -> None:
    """Return once no key is being followed, no message waits and what has changed is painted.

    While a worker is at work, this is the processor at rest, as Pilot has it.
    """
    app = active_app.get()
    end, rests = time.monotonic() + 1, 0
    while rests < 2 and time.monotonic() < end:
        await asyncio.sleep(0.001)
        if any(not worker.is_finished for worker in app.workers):
            await wait_for_idle(0)
            return
        rests = rests + 1 if is_at_rest(app) else 0


def is_at_rest(app: App[Any]) -> bool:
    """Return whether nothing is on its way in an app, as far as it knows."""
    if isinstance(app, OrderedKeysApp) and (app._held or app._following or app._gated):
        return False
    screen = app.screen
    nodes = (app, *screen.walk_children(with_self=True))
    waiting = len(screen._callbacks) + sum(node.message_queue_size for node in nodes)
    return waiting == 0 and not screen._update_timer._active.is_set()


@pytest.fixture
def snapshot() -> Callable[[App[Any], str], str]:
    """Compare what an app shows with the picture kept under a name; return its text.

    `snapshot(app, "home")` compares with `tests/snapshots/home.txt`: the text, then how its runs
    are styled. `COMMISSION_SNAPSHOTS=update` writes that file, and `home.svg` for people.
    """
    return compare


def compare(app: App[Any], name: str) -> str:
    """See `snapshot`."""
    lines = _lines(app)
    text = screen_text(app)
    shown = f"{masked(text)}\n\n{'-' * 8} styles\n{_styles(lines)}\n"
    path = SNAPSHOTS / f"{name}.txt"
    if UPDATE:
        SNAPSHOTS.mkdir(exist_ok=True)
        path.write_text(shown, encoding="utf-8")
        path.with_suffix(".svg").write_text(masked(_picture(app, name)), encoding="utf-8")
        return text
    if not path.exists():
        pytest.fail(f"no snapshot {path.name}; COMMISSION_SNAPSHOTS=update makes it")
    kept = path.read_text(encoding="utf-8")
    if shown != kept:
        diff = difflib.unified_diff(kept.splitlines(), shown.splitlines(), "kept", "shown", n=1)
        pytest.fail(f"{path.name} differs:\n" + "\n".join(diff))
    return text


def masked(picture: str) -> str:
    """Return a picture with a steady text of the same length for each digest."""

    def steady(found: re.Match[str]) -> str:
        start = found[1] + found[2]
        return start + (STEADY_DIGEST * 4)[: len(found[0]) - len(start)]

    return _DIGEST.sub(steady, picture)


def screen_text(app: App[Any]) -> str:
    """Return what an app shows, line by line."""
    return "\n".join("".join(part for part, _ in line).rstrip() for line in _lines(app))


def _lines(app: App[Any]) -> list[list[tuple[str, Style]]]:
    return [
        [(segment.text, segment.style or Style()) for segment in strip if segment.text]
        for strip in app.screen._compositor.render_strips()
    ]


@pytest.fixture
def shown() -> Callable[[App[Any]], str]:
    """Give what an app shows as text."""
    return screen_text


def _styles(lines: list[list[tuple[str, Style]]]) -> str:
    usual = Counter(
        _words(style) for line in lines for text, style in line for _ in range(len(text))
    ).most_common(1)[0][0]
    told = [f"usual: {usual}"]
    for number, line in enumerate(lines, 1):
        at = 0
        for words, parts in groupby(line, key=lambda part: _words(part[1])):
            run = "".join(text for text, _ in parts)
            if words != usual and not (run.isspace() and words.split(" on ")[-1] in usual):
                told.append(f"{number}:{at + 1}-{at + len(run)} {words}")
            at += len(run)
    return "\n".join(told)


def _words(style: Style) -> str:
    return str(style.without_color + Style(color=style.color, bgcolor=style.bgcolor))


def _picture(app: App[Any], name: str) -> str:
    """Return the picture as SVG that loads nothing from outside and is the same each time."""
    svg = app.export_screenshot(title="commission")
    svg = _FONT_FACE.sub("", _COMMENT.sub("", svg)).replace("Fira Code, monospace", "monospace")
    svg = svg.replace('font-family: "Fira Code"', "font-family: monospace")
    svg = _UNIQUE.sub(f"{re.sub('[^a-z0-9]', '-', name)}-", svg)
    return "\n".join(line.rstrip() for line in svg.splitlines()) + "\n"
