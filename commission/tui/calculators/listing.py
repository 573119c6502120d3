"""How the calculators stand in their list: found by words, under their topics. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.tui.home.lines import fit
from commission.tui.widgets import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from textual.content import Content

    from commission.calculators.base import Calculator

_NAME: Final = 23


def by_topic(found: Iterable[Calculator]) -> list[tuple[str, list[Calculator]]]:
    """Return the calculators under their topics, both in the catalogue's order."""
    topics: dict[str, list[Calculator]] = {}
    for each in found:
        topics.setdefault(each.topic, []).append(each)
    return list(topics.items())


def best(found: Sequence[Calculator], typed: str) -> Calculator | None:
    """Return the one to highlight: where the words stand in the name, else in the title."""
    words = typed.casefold().split()

    def rank(each: Calculator) -> int:
        name, title = each.name.casefold(), each.title.casefold()
        if words and name.startswith(words[0]):
            return 0
        return 1 if all(w in name for w in words) else 2 if all(w in title for w in words) else 3

    return min(found, key=rank, default=None)


def line(calculator: Calculator, width: int) -> Content:
    """Return one line of the list."""
    title = fit(calculator.title, max(10, width - _NAME)).rstrip()
    return plain(f"{calculator.name:<{_NAME}}{title}")


def detail(calculator: Calculator) -> str:
    """Return three lines on the calculator that is highlighted: what from what, and how."""
    asked = ", ".join(each.label for each in calculator.inputs)
    given = ", ".join(each.label for each in calculator.outputs)
    return f"Gives  {given}\nFrom   {asked}\nBy     {calculator.formula}"
