"""A page of the bench: rows to choose from, what Enter and the arrows do to them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a page."""

    id: str
    label: str
    value: str = ""
    """How it stands now."""
    does: str = ""
    """What Enter does, in a few words; empty where it does nothing."""
    sideways: str = ""
    """What Left and Right do; empty where they do nothing."""
    types: str = ""
    """What Enter asks to be typed; empty where nothing is."""
    heading: bool = False
    """It only stands above others."""


@dataclass(frozen=True, slots=True)
class Said:
    """What came of doing something."""

    text: str = ""
    """A sentence; empty where what is seen says it."""


class Page(Protocol):
    """Rows, and what comes of them. Nothing here knows how it is drawn."""

    title: str

    def rows(self) -> tuple[Row, ...]:
        """Return the rows as they stand now."""

    def enter(self, row: str) -> Said:
        """Do what Enter does at a row."""

    def turn(self, row: str, by: int) -> Said:
        """Do what Left (−1) and Right (+1) do at a row."""

    def take(self, row: str, typed: str) -> Said:
        """Take what was typed for a row.

        Raises:
            CommissionError: it is not understood; nothing has changed.
        """


class PlainPage:
    """A page whose rows do nothing unless it says so."""

    title = ""

    def rows(self) -> tuple[Row, ...]:
        """See `Page`."""
        return ()

    def enter(self, row: str) -> Said:
        """See `Page`."""
        del row
        return Said()

    def turn(self, row: str, by: int) -> Said:
        """See `Page`."""
        del row, by
        return Said()

    def take(self, row: str, typed: str) -> Said:
        """See `Page`."""
        del row, typed
        return Said()
