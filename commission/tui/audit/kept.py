"""The kept audits of a bench, newest first, and the way to a new one and to the overviews."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import DataTable
from textual.worker import get_current_worker

from commission.audit.book import AuditBook
from commission.errors import CommissionError, DamagedError
from commission.safe_text import safe_text
from commission.tui.audit import heading
from commission.tui.home.lines import moment
from commission.tui.notice import Notice
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.audit.state import AuditState
    from commission.tui.app import CommissionApp, ScreenLeft

EMPTY: Final = (
    "No audit is kept on this bench yet.\n\n"
    "F2 begins one: choose jobs, or let a sample be drawn. Each job's record is then checked:\n"
    "is it whole, was each step done, would the same readings pass today?\n\n"
    "F4 shows what all jobs show together."
)
_HEADINGS: Final = (("Audit", 19), ("Begun", 12), ("Stands", 9), ("Jobs", 4), ("Found", 5),
                    ("Open", 4), ("For, and by", 0))  # fmt: skip
_FIXED: Final = 68
"""Columns that all but the last take, with their gaps."""


@dataclass(frozen=True, slots=True)
class Line:
    """One audit in the list."""

    audit: str
    state: AuditState | None
    """None: its record is damaged."""
    error: str = ""


class Audits(Screen[None]):
    """The table has the keys."""

    AUTO_FOCUS = "DataTable"
    about = (
        "Audits of finished jobs. Each is a record of its own: what was looked at, what was found,"
        " what was answered, and the auditor's signature at its end."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Open", id="audits.open", priority=True,
                tooltip="Open the audit in hand; a closed one to be read"),
        Binding("f2", "new", "New audit", id="audits.new",
                tooltip="Choose jobs or draw a sample, and check them"),
        Binding("f4", "overviews", "Overviews", id="audits.overviews",
                tooltip="What the jobs of this bench show together"),
        Binding("f11", "report", "Report", id="audits.report", show=False,
                tooltip="Write the report of the audit in hand to a file"),
        Binding("f10", "app.back", "Back", id="audits.back", tooltip="Leave the audits"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Audits {
        DataTable { height: 1fr; margin: 1 0 0 0; background: $background; overflow-x: hidden;
            background-tint: transparent; scrollbar-size-vertical: 1; }
        #detail { height: 6; padding: 0 1; border-top: hkey $line; }
        #said { height: 1fr; margin: 2 3; display: none; }
        &.-saying #said { display: block; }
        &.-saying DataTable, &.-saying #detail { display: none; }
    }
    """
    app: CommissionApp

    @dataclass
    class Read(Message):
        """The audits were read."""

        lines: tuple[Line, ...]

    @dataclass
    class Refused(Message):
        """The bench could not be opened or read."""

        error: CommissionError

    def __init__(self) -> None:
        """Read the audits once this is on the screen."""
        super().__init__()
        self._lines: tuple[Line, ...] = ()
        self.table: DataTable[Text] = DataTable(cursor_type="row")

    def compose(self) -> ComposeResult:
        yield TitleBar("Audits", "of finished jobs")
        yield self.table
        yield Plain("Reading …", id="said")
        yield Plain(id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self.set_class(True, "-saying")
        self.read_audits()

    def on_resize(self) -> None:
        self._fill()

    def on_screen_left(self, message: ScreenLeft) -> None:
        del message
        self.read_audits()

    @work(thread=True, exclusive=True, group="audits")
    def read_audits(self) -> None:
        worker = get_current_worker()
        try:
            if self.app.bench is None:
                self.app.bench = self.app.opener()
            book = AuditBook(self.app.bench)
            lines = []
            for audit in reversed(book.audits()):
                if worker.is_cancelled:
                    return
                lines.append(_line(book, audit))
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            newest_first = sorted(lines, key=lambda one: _begun(one) or one.audit, reverse=True)
            self.post_message(self.Read(tuple(newest_first)))

    @on(Read)
    def show_audits(self, message: Read) -> None:
        self._lines = message.lines
        self.set_class(not self._lines, "-saying")
        self.query_one("#said", Plain).show(EMPTY)
        self._fill()
        if self._lines:
            self.table.focus()

    def _fill(self) -> None:
        at = self.table.cursor_row
        self.table.clear(columns=True)
        for name, width in _HEADINGS:
            room = max(10, self.app.size.width - _FIXED)
            self.table.add_column(Text(name), width=width or room)
        for line in self._lines:
            cells = _cells(line, moment(_begun(line), self.app.now()) if _begun(line) else "")
            self.table.add_row(*(Text(safe_text(cell)) for cell in cells))
        if self._lines:
            self.table.move_cursor(row=min(max(0, at), len(self._lines) - 1))
        self._show_detail()

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self.set_class(True, "-saying")
        said = f"The audits cannot be shown.\n\n{message.error.diagnostics()}"
        self.query_one("#said", Plain).show(said, "$text-error")

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()

    @property
    def line(self) -> Line | None:
        """The audit in hand."""
        at = self.table.cursor_row
        return self._lines[at] if 0 <= at < len(self._lines) else None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer to open, and to report, only where there is an audit."""
        del parameters
        return self.line is not None if action in ("open", "report") and self.is_mounted else True

    def action_open(self) -> None:
        from commission.tui.audit.screen import AuditScreen

        line, bench = self.line, self.app.bench
        if line is None or bench is None:
            return
        if line.state is None:
            self.app.push_screen(Notice("Not opened", line.error))
        else:
            self.app.push_screen(AuditScreen(bench, line.state))

    def action_report(self) -> None:
        from commission.tui.audit.reporting import write_report

        line, bench = self.line, self.app.bench
        if line is None or bench is None:
            return
        dialog = None if line.state is None else write_report(bench, line.state)
        self.app.push_screen(dialog or Notice("No report", line.error))

    def action_new(self) -> None:
        from commission.tui.audit.choosing import ChooseJobs

        if self.app.bench is not None:
            self.app.push_screen(ChooseJobs(self.app.bench, self.app.technician))

    def action_overviews(self) -> None:
        from commission.tui.audit.opening import open_overviews

        open_overviews(self.app)

    def _show_detail(self) -> None:
        line = self.line
        if line is None:
            said = ""
        elif line.state is None:
            said = f"{line.audit} cannot be read.\n{line.error}"
        else:
            state = line.state
            opened = state.opened
            purpose = "" if opened is None else f"{opened.purpose}, by {opened.auditor}"
            said = "\n".join((purpose, heading.of_what(state), heading.found(state),
                              heading.conclusion(state) or "F11 writes its report."))  # fmt: skip
        self.query_one("#detail", Plain).show(said)
        self.refresh_bindings()


def _line(book: AuditBook, audit: str) -> Line:
    try:
        return Line(audit, book.read(audit))
    except DamagedError as error:
        return Line(audit, None, error.diagnostics())


def _begun(line: Line) -> str:
    return line.state.opened.at if line.state is not None and line.state.opened else ""


def _cells(line: Line, begun: str) -> tuple[str, ...]:
    state = line.state
    if state is None or state.opened is None:
        return line.audit, "", "! DAMAGED", "", "", "", "not to be relied on; Enter says why"
    closed = state.closed
    word = "open" if closed is None else "signed" if closed.is_signed else "closed"
    return (
        line.audit, begun, word, str(len(state.opened.jobs)), str(len(state.findings)),
        str(len(state.unanswered())), f"{state.opened.purpose}, {state.opened.auditor}",
    )  # fmt: skip
