"""Overviews of a bench's jobs: one table at a time, and the row in hand in full below it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import DataTable
from textual.worker import get_current_worker

from commission.audit.choose import Selection, population
from commission.audit.overview import Overview
from commission.audit.run import jobs_of
from commission.errors import CommissionError, RefusedError
from commission.safe_text import safe_text
from commission.tui.audit.overview_rows import View, views
from commission.tui.home.lines import fit
from commission.tui.widgets import KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.register.state import Register
    from commission.tui.app import CommissionApp

_LONGEST = 40
"""Columns of a cell; all of it stands below."""


class Overviews(Screen[None]):
    """The table has the keys; F4 or Right goes to the next view."""

    AUTO_FOCUS = "DataTable"
    about = (
        "What the jobs of this bench show together, for the workshop to learn from. Numbers stand"
        " beside how much they rest on, and nobody is ranked."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f3", "turn(-1)", "View before", id="overviews.before", show=False,
                tooltip="Show the view before (also Left)"),
        Binding("f4", "turn(1)", "Next view", id="overviews.next",
                tooltip="Show the next view (also Right)"),
        Binding("right", "turn(1)", show=False, priority=True),
        Binding("left", "turn(-1)", show=False, priority=True),
        Binding("f6", "practice", "Practice", id="overviews.practice",
                tooltip="Count practice jobs, too, or leave them out"),
        Binding("f10", "app.back", "Back", id="overviews.back", tooltip="Leave the overviews"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Overviews {
        #names { height: auto; max-height: 3; padding: 1 1 0 1; color: $text-muted; }
        #says { height: auto; max-height: 2; padding: 0 1; }
        DataTable { height: 1fr; margin: 1 0 0 0; background: $background; overflow-x: hidden;
                    background-tint: transparent; scrollbar-size-vertical: 1; }
        #detail { height: 5; padding: 0 1; border-top: hkey $line; }
    }
    """
    app: CommissionApp

    @dataclass
    class Went(Message):
        """Some more jobs were counted."""

        done: int
        total: int

    @dataclass
    class Counted(Message):
        """All jobs were counted."""

        found: Overview
        register: Register | None
        day: str

    @dataclass
    class Refused(Message):
        """They could not be counted."""

        error: CommissionError

    def __init__(self) -> None:
        """Count once this is on the screen."""
        super().__init__()
        self._views: tuple[View, ...] = ()
        self._at = 0
        self._practice = False
        self._jobs = ""
        self.table: DataTable[Text] = DataTable(cursor_type="row")

    def compose(self) -> ComposeResult:
        yield TitleBar("Overviews")
        yield Plain("Reading …", id="names")
        yield Plain(id="says")
        yield self.table
        yield Plain(id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self.count()

    @work(thread=True, exclusive=True, group="overviews")
    def count(self) -> None:
        worker = get_current_worker()
        try:
            if self.app.bench is None:
                self.app.bench = self.app.opener()
            bench = self.app.bench
            found, at = Overview(), bench.clocks.now().at
            names: list[str] = []
            try:
                wanted = Selection(outcome="any", practice=self._practice)
                names = [line.job for line in population(bench.store, wanted).lines]
            except RefusedError:
                pass  # no job: the views then say so
            for done, job in enumerate(jobs_of(bench.store, names, at), 1):
                if worker.is_cancelled:
                    return
                found.take(job)
                self.post_message(self.Went(done, len(names)))
            self.post_message(self.Counted(found, _register(self.app), at[:10]))
        except CommissionError as error:
            self.post_message(self.Refused(error))

    @on(Went)
    def show_progress(self, message: Went) -> None:
        if not self._views:
            said = f"Counting … {message.done} of {message.total} jobs"
            self.query_one("#names", Plain).show(said)

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        said = f"The jobs cannot be counted. {message.error.diagnostics()}"
        self.query_one("#names", Plain).show(said, "$text-error")

    @on(Counted)
    def show_counted(self, message: Counted) -> None:
        found = message.found
        self._views = views(found, message.register, message.day)
        broken = f", {found.not_whole} NOT WHOLE and left out" if found.not_whole else ""
        kind = "with practice" if self._practice else "without practice"
        self._jobs = f"{found.jobs} jobs {kind}, {found.released} released{broken}"
        self._show_view()

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()

    def action_turn(self, way: int) -> None:
        if self._views:
            self._at = (self._at + way) % len(self._views)
            self._show_view()

    def action_practice(self) -> None:
        self._practice = not self._practice
        self._views = ()
        self.count()

    def _show_view(self) -> None:
        view = self._views[self._at]
        self.query_one(TitleBar).set_ends("Overviews", self._jobs)
        names = (
            plain(f"[{one.name}]", "bold $text") if one is view else plain(one.name)
            for one in self._views
        )
        self.query_one("#names", Plain).show(Content("  ").join(names))
        self.query_one("#says", Plain).show(view.says)
        self.table.clear(columns=True)
        for place, heading in enumerate(view.headings):
            width = max((len(row[place]) for row in view.rows), default=0)
            self.table.add_column(Text(heading), width=min(_LONGEST, max(len(heading), width)))
        for row in view.rows:
            self.table.add_row(*(Text(_cut(cell)) for cell in row))
        self._show_detail()

    def _show_detail(self) -> None:
        if not self._views:
            return
        view, at = self._views[self._at], self.table.cursor_row
        if not view.rows:
            said = view.empty
        elif 0 <= at < len(view.rows):
            pairs = zip(view.headings, view.rows[at], strict=True)
            said = "   ".join(f"{name} {cell}".strip() for name, cell in pairs if cell)
        else:
            said = ""
        self.query_one("#detail", Plain).show(said)


def _cut(cell: str) -> str:
    text = safe_text(cell)
    return text if len(text) <= _LONGEST else fit(text, _LONGEST)


def _register(app: CommissionApp) -> Register | None:
    try:
        return None if app.bench is None else app.bench.book.register
    except CommissionError:
        return None
