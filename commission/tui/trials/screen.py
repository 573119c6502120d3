"""Fault trials on the screen: a table of faults and outcomes, narrowed by kind or by typing."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import DataTable, Input

from commission.safe_text import safe_text
from commission.tui.trials import rows
from commission.tui.widgets import Field, KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.practice.matrix import Matrix

_WIDE = 100
"""Columns from which on there is room for how far the bike had come."""
_STEPS = {"down": 1, "up": -1, "pagedown": 8, "pageup": -8}


class Trials(Screen[None]):
    """The field has the keys; the table follows it."""

    AUTO_FOCUS = "#narrow"
    about = (
        "Which faults this procedure catches, at which step, and which escape. Type to narrow the"
        " table, choose a row with Up and Down; what happened to it stands below."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f4", "kind", "Outcome", id="trials.kind",
                tooltip="Show the faults of the next outcome"),
        Binding("f5", "pilot", "Pilot", id="trials.pilot",
                tooltip="Show what the next pilot came to: the honest one, three careless ones"),
        Binding("down", "move('down')", "Down", id="trials.down", show=False),
        Binding("up", "move('up')", "Up", id="trials.up", show=False),
        Binding("pagedown", "move('pagedown')", "Page down", id="trials.pagedown", show=False),
        Binding("pageup", "move('pageup')", "Page up", id="trials.pageup", show=False),
        Binding("f7", "read('up')", "Read up", id="trials.read_up", show=False),
        Binding("f8", "read('down')", "Read on", id="trials.read_down",
                tooltip="Scroll what is said of the row"),
        Binding("f10", "app.back", "Back", id="trials.back", tooltip="Leave the trials"),
        Binding("escape", "app.back", "Back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Trials {
        #narrow { margin: 1 1 0 1; }
        #kinds { height: 1; margin: 1 2 0 2; text-wrap: nowrap; text-overflow: ellipsis; }
        #sums { height: 1; margin: 0 2; color: $text-muted; text-wrap: nowrap;
                text-overflow: ellipsis; }
        DataTable { height: 1fr; margin: 0 1; background: $background; overflow-x: hidden;
                    scrollbar-size-vertical: 1; }
        VerticalScroll { height: 8; padding: 0 2; border-top: hkey $line;
                         scrollbar-size-vertical: 1; }
        &.-tall VerticalScroll { height: 12; }
    }
    """

    def __init__(self, matrix: Matrix) -> None:
        """Show the trials of `matrix`, of its honest pilot first."""
        super().__init__()
        self._matrix = matrix
        self._kind = rows.ALL
        self._pilot = matrix.pilots[0]
        self._shown: tuple[rows.Shown, ...] = ()
        self.table: DataTable[Text] = DataTable(cursor_type="row")
        self.table.can_focus = False

    def compose(self) -> ComposeResult:
        yield TitleBar(f"Fault trials: {self._matrix.title}", "")
        yield Field(placeholder="Type to narrow: a fault, a step, a severity, a group",
                    id="narrow")  # fmt: skip
        yield Plain(id="kinds")
        yield Plain(id="sums")
        yield self.table
        yield VerticalScroll(Plain(id="detail"), can_focus=False)
        yield KeyBar()

    def on_mount(self) -> None:
        self._fill()

    def on_resize(self) -> None:
        self._fill()

    @on(Input.Changed, "#narrow")
    def narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._fill()

    @on(DataTable.RowHighlighted)
    def show_detail(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._say_detail(event.cursor_row)

    def action_kind(self) -> None:
        there = list(rows.counts(self._matrix, self._pilot))
        self._kind = there[(there.index(self._kind) + 1) % len(there)]
        self._fill()

    def action_pilot(self) -> None:
        pilots = self._matrix.pilots
        self._pilot = pilots[(pilots.index(self._pilot) + 1) % len(pilots)]
        if self._kind not in rows.counts(self._matrix, self._pilot):
            self._kind = rows.ALL
        self._fill()

    def action_move(self, way: str) -> None:
        if self._shown:
            row = self.table.cursor_row + _STEPS[way]
            self.table.move_cursor(row=min(len(self._shown) - 1, max(0, row)))

    def action_read(self, way: str) -> None:
        scroll = self.query_one(VerticalScroll)
        scroll.scroll_relative(y=3 if way == "down" else -3, animate=False)

    def _fill(self) -> None:
        typed = self.query_one("#narrow", Field).value
        self._shown = rows.shown(self._matrix, self._pilot, self._kind, typed)
        self.table.clear(columns=True)
        count = len(rows.HEADINGS) - (self.app.size.width < _WIDE)
        for at, heading in enumerate(rows.HEADINGS[:count]):
            # Widths are given: the table's own lag behind when its columns are made anew.
            width = max(map(len, (heading, *(row.cells[at] for row in self._shown))))
            self.table.add_column(Text(heading), width=width)
        for row in self._shown:
            self.table.add_row(*(Text(safe_text(cell)) for cell in row.cells[:count]))
        self._say_head()
        self._say_detail(0)

    def _say_head(self) -> None:
        there = rows.counts(self._matrix, self._pilot)
        parts = [
            f"[{kind} {count}]" if kind == self._kind else f"{kind} {count}"
            for kind, count in there.items()
        ]
        self.query_one("#kinds", Plain).show("  ".join(parts))
        self.query_one("#sums", Plain).show(rows.summary(self._matrix, self._pilot))
        says = self._matrix.says.get(self._pilot, "")
        self.query_one(TitleBar).set_ends(
            f"Fault trials: {self._matrix.title}", f"pilot: {self._pilot}"
        )
        self.query_one(TitleBar).tooltip = says

    def _say_detail(self, row: int) -> None:
        detail = self.query_one("#detail", Plain)
        if 0 <= row < len(self._shown):
            detail.show(self._shown[row].detail)
        else:
            detail.show("No fault has these words." if not self._shown else "")
        self.query_one(VerticalScroll).scroll_home(animate=False)
