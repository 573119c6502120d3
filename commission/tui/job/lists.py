"""Screens to look things up in: a table, and the whole of the row in hand below it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import DataTable

from commission.safe_text import safe_text
from commission.tui.job.frame import PRACTICE
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult


class ListScreen(Screen[int | None]):
    """Rows under headings; `details` says all of the row that is highlighted."""

    type_ahead = True
    AUTO_FOCUS = "DataTable"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "dismiss(None)", "Back", id="list.back", tooltip="Go back to the job"),
        Binding("escape", "dismiss(None)", "Back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ListScreen {
        DataTable { height: 1fr; margin: 1 1 0 1; background: $background;
            scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1; }
        .detail { height: 6; padding: 0 2; border-top: hkey $line; }
    }
    """

    def __init__(
        self,
        title: str,
        headings: Sequence[str],
        rows: Sequence[Sequence[str]],
        details: Sequence[str],
        *,
        at_end: bool = False,
        practice: bool = False,
    ) -> None:
        """Show `rows` under `headings`; `at_end` starts at the last row."""
        super().__init__()
        self._heading = title
        self._mark = PRACTICE if practice else ""
        self._headings = tuple(headings)
        self._rows = rows
        self._details = details
        self._at_end = at_end
        self.table: DataTable[Text] = DataTable(cursor_type="row")
        self._detail = Plain(classes="detail")

    def compose(self) -> ComposeResult:
        yield TitleBar(self._heading, self._mark)
        yield self.table
        yield self._detail
        yield KeyBar()

    def on_mount(self) -> None:
        for heading in self._headings:
            self.table.add_column(Text(heading))
        self.table.add_rows([Text(safe_text(cell)) for cell in row] for row in self._rows)
        if self._rows:
            self.table.move_cursor(row=len(self._rows) - 1 if self._at_end else 0)
        else:
            self._detail.show("Nothing yet.")

    @on(DataTable.RowHighlighted)
    def show_detail(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        if 0 <= event.cursor_row < len(self._details):
            self._detail.show(self._details[event.cursor_row])
