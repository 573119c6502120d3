"""One audit: its findings, what is said to them, its end; a closed one only to be read."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import DataTable, Input

from commission.audit.signs import signs
from commission.errors import RefusedError
from commission.safe_text import safe_text
from commission.tui.audit import finding_rows, heading
from commission.tui.audit.beside import Both, detail_width, list_width
from commission.tui.audit.paragraphs import laid_out
from commission.tui.audit.saying import About, Saying
from commission.tui.widgets import Field, KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.audit.finding import Finding
    from commission.audit.signs import Signs
    from commission.audit.state import AuditState
    from commission.record.bench import Bench
    from commission.tui.app import CommissionApp
    from commission.tui.audit.finding_rows import Row

_STEPS: Final = {"down": 1, "up": -1, "pagedown": 8, "pageup": -8}
_HEADINGS: Final = (("", 4), ("Grade", 11), ("Job", 13), ("Found", 0))
_FIXED: Final = 37
"""Columns that all but the last take, with their gaps."""
NOTHING: Final = "Nothing was found: every check of every job was good."


class AuditScreen(Screen[None]):
    """The field has the keys; the list of findings follows it, and one in hand stands below."""

    AUTO_FOCUS = "#narrow"
    about = (
        "What an audit found, worst first: faults of the record, and signs that ask somebody to"
        " look again. Enter walks the job from there. What is said here is recorded in the"
        " audit's own record."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "walk", "Walk", id="audit.walk", priority=True,
                tooltip="Walk the job as it happened, from this finding on"),
        Binding("f2", "remark", "Remark", id="audit.remark",
                tooltip="Note something of the finding in hand, or of the audit"),
        Binding("f3", "jobs", "All jobs", id="audit.jobs", show=False,
                tooltip="All jobs audited, to walk one without a finding, too"),
        Binding("f4", "kind", "Narrow", id="audit.kind", show=False,
                tooltip="Show faults only, signs only, those unanswered, those remarked on"),
        Binding("f5", "answer", "Answer", id="audit.answer",
                tooltip="Record the answer of whose work the finding is about"),
        Binding("f6", "close", "Close it", id="audit.close",
                tooltip="Close the audit with a conclusion, signed; for good"),
        Binding("f7", "read('up')", "Read up", id="audit.read_up", show=False,
                tooltip="Scroll back what is said of the finding"),
        Binding("f8", "read('down')", "Read on", id="audit.read_down", show=False,
                tooltip="Scroll what is said of the finding"),
        Binding("f9", "app.find", "Find", id="audit.find", show=False,
                tooltip="Find a step or a command"),
        Binding("down", "move('down')", "Down", id="audit.down", show=False),
        Binding("up", "move('up')", "Up", id="audit.up", show=False),
        Binding("pagedown", "move('pagedown')", "Page down", id="audit.pagedown", show=False),
        Binding("pageup", "move('pageup')", "Page up", id="audit.pageup", show=False),
        Binding("f11", "report", "Report", id="audit.report", show=False,
                tooltip="Write this audit's report to a file"),
        Binding("f10", "app.back", "Back", id="audit.back", tooltip="Leave the audit"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    AuditScreen {
        #of, #found, #kinds { height: 1; padding: 0 1; text-wrap: nowrap; text-overflow: ellipsis; }
        #of { height: 2; padding: 1 1 0 1; color: $text-muted; }
        #kinds { color: $text-muted; }
        DataTable { height: 1fr; background: $background; background-tint: transparent;
                    overflow-x: hidden; scrollbar-size-vertical: 1; }
        DataTable > .datatable--cursor { background: $block-cursor-background;
                    color: $block-cursor-foreground; text-style: bold; }
        VerticalScroll { height: 9; }
        &.-tall VerticalScroll { height: 17; }
    }
    """
    app: CommissionApp

    def __init__(self, bench: Bench, state: AuditState, at: Finding | None = None) -> None:
        """Show an audit of `bench`, its worst finding in hand, or the one `at`."""
        super().__init__()
        self._bench = bench
        self._state = state
        self._at = at
        self._kind = finding_rows.KINDS[0]
        self._rows: tuple[Row, ...] = ()
        self._signs: Signs | None = None
        self.table: DataTable[Text] = DataTable(cursor_type="row")
        self.table.can_focus = False

    def compose(self) -> ComposeResult:
        yield TitleBar(*heading.title(self._state))
        yield Plain(id="of")
        yield Plain(id="found")
        yield Plain(id="kinds")
        yield Field(placeholder="Type to narrow: a job, a step, a name, a check", id="narrow")
        with Both():
            yield self.table
            yield VerticalScroll(Plain(id="detail"), can_focus=False)
        yield KeyBar()

    def on_mount(self) -> None:
        try:
            self._signs = signs()
        except RefusedError:
            self._signs = None  # each sign then says that its rates are not known
        self._fill()
        places = [at for at, row in enumerate(self._rows) if row.finding == self._at]
        if places:
            self.table.move_cursor(row=places[0])

    def on_resize(self) -> None:
        self._fill()

    @property
    def state(self) -> AuditState:
        """The audit as it stands."""
        return self._state

    def show_state(self, state: AuditState) -> None:
        """Show an audit as it stands now."""
        self._state = state
        self._fill(keep=True)

    @on(Input.Changed, "#narrow")
    def narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._fill()

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        self._show_detail()

    @property
    def row(self) -> Row | None:
        """The finding in hand."""
        at = self.table.cursor_row
        return self._rows[at] if 0 <= at < len(self._rows) else None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what writes only while the audit is open, and what takes a finding where one is."""
        del parameters
        if not self.is_mounted:
            return True
        row, state = self.row, self._state
        if action in ("remark", "close"):
            return state.closed is None
        if action == "answer":
            return row is not None and state.closed is None
        return (row is not None and bool(row.finding.job)) if action == "walk" else True

    def action_kind(self) -> None:
        counted = finding_rows.counts(self._state)
        there = [kind for kind, count in counted.items() if count or kind == "all"]
        at = there.index(self._kind) if self._kind in there else -1
        self._kind = there[(at + 1) % len(there)]
        self._fill()

    def action_move(self, way: str) -> None:
        if self._rows:
            row = self.table.cursor_row + _STEPS[way]
            self.table.move_cursor(row=min(len(self._rows) - 1, max(0, row)))

    def action_read(self, way: str) -> None:
        scroll = self.query_one(VerticalScroll)
        scroll.scroll_relative(y=4 if way == "down" else -4, animate=False)

    def action_walk(self) -> None:
        row = self.row
        if row is not None and row.finding.job:
            self.walk(row.finding.job, row.number)

    def walk(self, job: str, number: int = 0) -> None:
        """Show a job as it happened, from a finding on."""
        from commission.tui.audit.walk import Walk

        self.app.push_screen(Walk(self._bench, self._state, job, number, self.show_state))

    def action_jobs(self) -> None:
        from commission.tui.audit.audited_jobs import AuditedJobs

        def chosen(at: int | None) -> None:
            opened = self._state.opened
            if at is not None and opened is not None:
                self.walk(str(opened.jobs[at]["job"]))

        self.app.push_screen(AuditedJobs(self._state), chosen)

    def action_remark(self) -> None:
        row = self.row
        self._saying().remark(About(finding=0 if row is None else row.number))

    def action_answer(self) -> None:
        row = self.row
        if row is not None:
            self._saying().answer(row.number)

    def action_report(self) -> None:
        from commission.tui.audit.reporting import write_report

        dialog = write_report(self._bench, self._state)
        if dialog is not None:
            self.app.push_screen(dialog)

    def action_close(self) -> None:
        self._saying().close()

    def _saying(self) -> Saying:
        return Saying(self.app, self._bench, self._state, self.show_state)

    def _fill(self, *, keep: bool = False) -> None:
        state = self._state
        if not self.is_mounted:
            return
        at = self.row
        typed = self.query_one("#narrow", Field).value
        self._rows = finding_rows.rows(state, self._kind, typed)
        self.table.clear(columns=True)
        room = max(20, list_width(self.app.size.width) - _FIXED)
        for name, width in _HEADINGS:
            self.table.add_column(Text(name), width=width or room)
        for row in self._rows:
            self.table.add_row(
                *(
                    Text(safe_text(cell), overflow="ellipsis", no_wrap=True)
                    for cell in finding_rows.cells(row)
                )
            )
        places = [row.number for row in self._rows]
        if keep and at is not None and at.number in places:
            self.table.move_cursor(row=places.index(at.number))
        self._say_head(state)
        self._show_detail()

    def _say_head(self, state: AuditState) -> None:
        opened = state.opened
        if opened is None:
            return
        self.query_one(TitleBar).set_ends(*heading.title(state))
        self.query_one("#of", Plain).show(heading.of_what(state))
        self.query_one("#found", Plain).show(heading.conclusion(state) or heading.found(state))
        counted = finding_rows.counts(state)
        parts = [
            f"[{kind} {count}]" if kind == self._kind else f"{kind} {count}"
            for kind, count in counted.items()
            if count or kind in ("all", self._kind)
        ]
        said, keys = f"F4  {'  '.join(parts)}", "   F3 jobs  F8 read on  F11 report"
        fits = len(said) + len(keys) < self.app.size.width
        self.query_one("#kinds", Plain).show(f"{said}{keys if fits else '   F1 more keys'}")

    def _show_detail(self) -> None:
        row, state = self.row, self._state
        detail = self.query_one("#detail", Plain)
        if row is None:
            detail.show("No finding has these words." if state.findings else NOTHING)
        else:
            told = finding_rows.detail(state, row, self._signs)
            detail.show(laid_out(told, detail_width(self.app.size.width)))
        self.query_one(VerticalScroll).scroll_home(animate=False)
        self.refresh_bindings()
