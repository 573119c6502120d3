"""Styles go by the names of classes: two widgets of one name would dress each other."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

TUI = Path(__file__).parents[2] / "commission" / "tui"


def test_no_two_widgets_have_the_same_name() -> None:
    names = Counter(
        node.name
        for file in TUI.rglob("*.py")
        for node in ast.parse(file.read_text("utf-8")).body
        if isinstance(node, ast.ClassDef) and node.bases
    )
    assert [name for name, count in names.items() if count > 1] == []
