"""A list and what is said of the line in hand: below it, and beside it where there is room."""

from __future__ import annotations

from typing import Final

from textual.containers import Container

WIDE_FROM: Final = 110
"""Columns, as the app's class `-wide`."""
_SHARE: Final = 0.39
_EDGES: Final = 3
"""Columns that padding and scroll bar take; a border beside takes one more."""


class Both(Container):
    """Holds a table and, after it, a VerticalScroll with the detail."""

    DEFAULT_CSS = """
    Both {
        height: 1fr;
        layout: vertical;
        & > DataTable { width: 1fr; }
        & > VerticalScroll { padding: 0 1; border-top: hkey $line; scrollbar-size-vertical: 1; }
        #detail { height: auto; }
        &.-beside { layout: horizontal; }
        &.-beside > VerticalScroll { border-top: none; border-left: vkey $line; }
    }
    """

    def on_mount(self) -> None:
        self._share_out()

    def on_resize(self) -> None:
        self._share_out()

    def _share_out(self) -> None:
        width = self.app.size.width
        is_beside = width >= WIDE_FROM
        self.set_class(is_beside, "-beside")
        detail = self.query_one("VerticalScroll")
        detail.styles.width = width - list_width(width) if is_beside else "1fr"
        detail.styles.height = "1fr" if is_beside else None


def list_width(width: int) -> int:
    """Return how many of the screen's columns the list has."""
    return width - round(_SHARE * width) if width >= WIDE_FROM else width


def detail_width(width: int) -> int:
    """Return how many columns what is said of a line has for its text."""
    if width < WIDE_FROM:
        return width - _EDGES
    return width - list_width(width) - _EDGES - 1
