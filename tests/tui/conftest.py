"""What all tests of the screens share: pictures of screens, and keys that need no pauses."""

from __future__ import annotations

import difflib
import os
import re
import time
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest
from rich.style import Style
from textual.app import App

from commission.tui.keys import OrderedKeysApp

SNAPSHOTS = Path(__file__).parents[1] / "snapshots"
UPDATE = os.environ.get("COMMISSION_SNAPSHOTS") == "update"
_FONT_FACE = re.compile(r"@font-face\s*\{.*?\}\s*", re.DOTALL)
_UNIQUE = re.compile(r"terminal-\d+-")


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


@pytest.fixture
def snapshot() -> Callable[[App[Any], str], str]:
    """Compare what an app shows with the picture kept under a name; return its text.

    `snapshot(app, "home")` compares with `tests/snapshots/home.txt`: the text, then how its runs are
    styled. `COMMISSION_SNAPSHOTS=update` writes that file and `home.svg`, the picture for people.
    """
    return compare


def compare(app: App[Any], name: str) -> str:
    """See `snapshot`."""
    lines = [
        [(segment.text, segment.style or Style()) for segment in strip if segment.text]
        for strip in app.screen._compositor.render_strips()
    ]
    text = "\n".join("".join(part for part, _ in line).rstrip() for line in lines)
    shown = f"{text}\n\n{'-' * 8} styles\n{_styles(lines)}\n"
    path = SNAPSHOTS / f"{name}.txt"
    if UPDATE:
        SNAPSHOTS.mkdir(exist_ok=True)
        path.write_text(shown, encoding="utf-8")
        path.with_suffix(".svg").write_text(_picture(app, name), encoding="utf-8")
        return text
    if not path.exists():
        pytest.fail(f"no snapshot {path.name}; COMMISSION_SNAPSHOTS=update makes it")
    kept = path.read_text(encoding="utf-8")
    if shown != kept:
        diff = difflib.unified_diff(kept.splitlines(), shown.splitlines(), "kept", "shown", n=1)
        pytest.fail(f"{path.name} differs:\n" + "\n".join(diff))
    return text


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
    svg = _FONT_FACE.sub("", svg).replace("Fira Code, monospace", "monospace")
    svg = svg.replace('font-family: "Fira Code"', "font-family: monospace")
    svg = _UNIQUE.sub(f"{re.sub('[^a-z0-9]', '-', name)}-", svg)
    return "\n".join(line.rstrip() for line in svg.splitlines()) + "\n"
