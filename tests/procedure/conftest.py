"""A procedure test shows the file: wrong lines are marked in it, and nothing else may be told."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import pytest

from commission.procedure.check import check
from commission.procedure.load import Loaded, loads

if TYPE_CHECKING:
    from commission.procedure.problems import Problem

_MARK: Final = re.compile(r"\s+# !(warning)? ?(.*)$")
HEAD: Final = """\
procedure: test
revision: 1
title: A test
purpose: To test.
"""

Marked = Callable[[str], Loaded]


def whole(text: str) -> str:
    """Return a text with the head of a procedure before it, where it has none."""
    return text if text.startswith(("procedure:", "fragment:", "%", "\t")) else HEAD + text


def expected_in(text: str) -> list[tuple[int, str, str]]:
    """Return line, severity and words of each mark; the marks stay, being comments."""
    found: list[tuple[int, str, str]] = []
    for number, line in enumerate(text.splitlines(), 1):
        if match := _MARK.search(line):
            severity = match[1] or "error"
            found.extend((number, severity, words.strip()) for words in match[2].split("//"))
    return found


def compare(text: str, problems: tuple[Problem, ...]) -> None:
    """Fail for problems that are not marked, and for marks without a problem."""
    wanted = expected_in(text)
    for each in problems:
        hit = next(
            (
                mark for mark in wanted
                if mark[:2] == (each.line, each.severity) and mark[2] in str(each)
            ),
            None,
        )  # fmt: skip
        assert hit is not None, f"unexpected: {each}"
        wanted.remove(hit)
    assert not wanted, f"missing: {wanted}"


@pytest.fixture
def loading() -> Marked:
    """Load a text and compare what is told with its marks."""

    def run(text: str) -> Loaded:
        loaded = loads(whole(text), "test.yaml", lambda _name, _file: None)
        compare(whole(text), loaded.problems)
        return loaded

    return run


@pytest.fixture
def checking() -> Marked:
    """Load and check a text and compare what is told with its marks."""

    def run(text: str) -> Loaded:
        loaded = loads(whole(text), "test.yaml", lambda _name, _file: None)
        assert loaded.procedure is not None, [str(each) for each in loaded.problems]
        compare(whole(text), check(loaded))
        return loaded

    return run
