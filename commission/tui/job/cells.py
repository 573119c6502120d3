"""Settings as a table, filled cell by cell, by pasting lines, or from a file.

The focus never leaves the one input below the table; up and down move the row it types into. Each
Enter is recorded at once, so a power cut costs at most the cell in hand. A cell that was given
can be gone back to and replaced, with a reason.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events, on
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import DataTable, Input

from commission.safe_text import safe_text
from commission.tui.job.area import Area
from commission.tui.job.echo import Echo, echo
from commission.tui.job.fields import MOST_CHARACTERS
from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult

    from commission.tui.job.cell_rows import CellRow


_LEAST, _LEAST_LAST, _MOST_NAME = 8, 20, 24
"""Characters of a value, of the value given here with its verdict, and of a setting's name."""


class LinesInput(Field):
    """An input that passes several pasted lines on instead of dropping all but the first."""

    @dataclass
    class LinesPasted(Message):
        """Several lines were pasted."""

        text: str

    def _on_paste(self, event: events.Paste) -> None:
        if len(event.text.strip().splitlines()) > 1:
            event.prevent_default()
            event.stop()
            self.post_message(self.LinesPasted(event.text))


class CellsArea(Area):
    """The table of settings and the input for the row in hand."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Row above", id="job.cell.up", show=False,
                tooltip="Go to the setting above", priority=True),
        Binding("down", "move(1)", "Row below", id="job.cell.down", show=False,
                tooltip="Go to the setting below", priority=True),
        Binding("f8", "take_list", "Import", id="job.cell.import", show=False,
                tooltip="Take values from a CSV or JSON file, or pasted lines"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    CellsArea {
        height: 1fr;
        min-height: 8;
        & > DataTable { height: 1fr; min-height: 4; scrollbar-size-vertical: 1;
                        scrollbar-size-horizontal: 0; }
        & > Field, & > Field:focus {
            height: 3;
            border: round $border-blurred;
            padding: 0 1;
            background: $background;
            text-style: none;
            border-title-color: $text;
            border-subtitle-color: $text;
        }
        & > Field:focus { border: round $border; }
        & > .row { height: auto; }
    }
    """

    @dataclass
    class CellReplaced(Message):
        """A person typed another value for a cell that was given before."""

        part: str
        given: dict[str, str]

    @dataclass
    class ListWanted(Message):
        """A person wants to take values from a list; `text` is what was pasted, or empty."""

        text: str

    def __init__(self, rows: Sequence[CellRow], columns: Sequence[str]) -> None:
        """Show `rows`; `columns` are the headings after the setting's name."""
        super().__init__()
        self.rows = tuple(rows)
        self._columns = tuple(columns)
        self._at = self._first_open()
        self._marked = ""
        self.table: DataTable[Text] = DataTable(
            cursor_type="row", zebra_stripes=False, show_cursor=True
        )
        self.table.can_focus = False
        self._row = Plain(classes="row")
        self.input = LinesInput(max_length=MOST_CHARACTERS)

    def compose(self) -> ComposeResult:
        yield self.table
        yield self._row
        yield self.input
        yield self.refusal

    def on_mount(self) -> None:
        for column, width in zip(("", "setting", *self._columns), self._widths(), strict=True):
            self.table.add_column(Text(column), key=column, width=width)
        for row in self.rows:
            self.table.add_row(*self._texts(row), key=row.ask.name)
        self._show()

    @property
    def row(self) -> CellRow:
        """The row that is typed into."""
        return self.rows[self._at]

    @property
    def typed(self) -> dict[str, str]:
        return {self.row.ask.name: self.input.value} if self.input.value else {}

    def put_back(self, typed: Mapping[str, str]) -> None:
        for at, row in enumerate(self.rows):
            if row.ask.name in typed and row.is_open:
                self._at = at
                self.input.value = typed[row.ask.name]

    def focus_entry(self) -> None:
        self.input.focus()

    def show_rows(self, rows: Sequence[CellRow]) -> None:
        """Show the rows after some of them were recorded, and go on to the next open one."""
        before, self.rows = self.rows, tuple(rows)
        for old, new in zip(before, self.rows, strict=True):
            if old != new:
                for column, text in zip(("", "setting", *self._columns), self._texts(new),
                                        strict=True):  # fmt: skip
                    self.table.update_cell(new.ask.name, column, text)
        self.input.value = ""
        self._at = self._next_open()
        self.refuse("")
        self._show()

    @on(Input.Changed)
    def show_what_is_understood(self, event: Input.Changed) -> None:
        event.stop()
        self.refuse("")
        self._show_row()

    @on(Input.Submitted)
    def take_cell(self, event: Input.Submitted) -> None:
        event.stop()
        understood = self._understood()
        if not understood.text:
            said = understood.said if self.input.value.strip() else "type the value first."
            self.refuse(said)
        elif self.row.is_open:
            self.post_message(self.Given({self.row.ask.name: understood.text}))
        else:
            self.post_message(
                self.CellReplaced(self.row.part, {self.row.ask.name: understood.text})
            )

    @on(LinesInput.LinesPasted)
    def take_lines(self, event: LinesInput.LinesPasted) -> None:
        event.stop()
        self.post_message(self.ListWanted(event.text))

    @on(DataTable.RowHighlighted)
    def keep_quiet(self, event: DataTable.RowHighlighted) -> None:
        """Let no message of the bar's own moves through: it comes late, and says an old row."""
        event.stop()

    @on(DataTable.RowSelected)
    def follow_pointer(self, event: DataTable.RowSelected) -> None:
        event.stop()
        if event.cursor_row != self._at and 0 <= event.cursor_row < len(self.rows):
            self._go(event.cursor_row)

    def action_move(self, by: int) -> None:
        self._go(min(len(self.rows) - 1, max(0, self._at + by)))

    def action_take_list(self) -> None:
        self.post_message(self.ListWanted(""))

    def _go(self, at: int) -> None:
        self._at = at
        self.input.value = ""
        self.refuse("")
        self._show()

    def _widths(self) -> list[int]:
        """Columns as wide as what they hold, the setting's name as wide as is left for it."""
        texts = [self._texts(row) for row in self.rows]
        values = [
            max(len(column), _LEAST, *(len(cells[at]) for cells in texts))
            for at, column in enumerate(self._columns, start=2)
        ]
        values[-1] = max(values[-1], _LEAST_LAST)
        names = max((len(cells[1]) for cells in texts), default=0)
        return [2, min(names, _MOST_NAME), *values]

    def _understood(self) -> Echo:
        return echo(self.row.ask, self.input.value, self.row.bounds)

    def _first_open(self) -> int:
        return next((at for at, row in enumerate(self.rows) if row.is_open), 0)

    def _next_open(self) -> int:
        later = range(self._at, len(self.rows))
        return next((at for at in later if self.rows[at].is_open), self._first_open())

    def _show(self) -> None:
        for row in (self._marked, self.row.ask.name):
            if row:
                self.table.update_cell(row, "", self._sign(row))
        self._marked = self.row.ask.name
        self.table.move_cursor(row=self._at, scroll=True)
        self.input.border_title = plain(self.row.ask.label)
        self.input.border_subtitle = plain(self.row.ask.unit)
        self._show_row()

    def _show_row(self) -> None:
        understood = self._understood()
        text = self.input.value
        if text:
            compared = self.row.compare(understood.text) if understood.understood else ""
            said = f"{understood.said}{compared}"
        else:
            hint = understood.said or "Type what the controller shows, or F8 takes a list."
            said = hint if self.row.is_open else "Given. Type it again to replace it."
        wrong = understood.outside or (bool(text) and not understood.understood)
        self._row.show(said, "$text-warning" if wrong else "$text-muted")

    def _sign(self, name: str) -> Text:
        """The row's sign, after a mark where it is the row in hand: seen without any colour."""
        row = next(row for row in self.rows if row.ask.name == name)
        return Text(f"{'›' if row is self.row else ' '}{row.sign}")

    def _texts(self, row: CellRow) -> tuple[Text, ...]:
        cells = (f" {row.sign}", row.ask.label, *row.values)
        return tuple(Text(safe_text(cell), no_wrap=True, overflow="ellipsis") for cell in cells)
