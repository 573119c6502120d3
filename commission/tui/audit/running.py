"""Jobs being checked: how far it is, and what was found so far; then the audit, recorded."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import DataTable
from textual.worker import get_current_worker

from commission.errors import CommissionError
from commission.safe_text import safe_text
from commission.tui.audit.checking import LeftError
from commission.tui.audit.finding_rows import WORDS, rests_on
from commission.tui.audit.so_far import SoFar, progress
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.audit.finding import Finding
    from commission.audit.state import AuditState
    from commission.record.bench import Bench
    from commission.tui.app import CommissionApp
    from commission.tui.audit.checking import Checking

_EVERY_S: Final = 0.25
"""How often what was found is shown; jobs are checked faster than people read."""
_HEADINGS: Final = (("Grade", 11), ("Job", 13), ("Found so far", 0))
_FIXED: Final = 31
"""Columns that all but the last take, with their gaps."""


class Running(Screen[None]):
    """Shows how far it is; leaving it before the end leaves nothing recorded."""

    about = (
        "The jobs are checked one after the other; what was found so far is listed, worst first."
        " The audit is recorded once all of them were"
        " looked at; whoever leaves before that leaves nothing behind."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "stop", "Stop", id="running.back",
                tooltip="Stop checking; nothing is recorded"),
        Binding("escape", "stop", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Running {
        #checking { height: auto; margin: 1 1; }
        DataTable { height: 1fr; background: $background; background-tint: transparent;
                    overflow-x: hidden; scrollbar-size-vertical: 1; }
        #detail { height: 4; padding: 0 1; border-top: hkey $line; }
    }
    """
    AUTO_FOCUS = "DataTable"
    app: CommissionApp

    @dataclass
    class Went(Message):
        """Some more jobs were checked."""

        done: int
        found: tuple[Finding, ...] = ()
        """What has come since the message before."""

    @dataclass
    class Kept(Message):
        """All were checked, and the audit is recorded."""

        state: AuditState

    @dataclass
    class Refused(Message):
        """It could not be made; nothing was recorded."""

        error: CommissionError

    def __init__(self, bench: Bench, checking: Checking) -> None:
        """Begin once this is on the screen."""
        super().__init__()
        self._bench = bench
        self._checking = checking
        self._kept: AuditState | None = None
        self._done, self._began = 0, time.monotonic()
        self._so_far = SoFar()
        self._listed: list[Finding] = []
        self.table: DataTable[Text] = DataTable(cursor_type="row")

    def compose(self) -> ComposeResult:
        yield TitleBar("Audit", self._checking.order.purpose)
        yield Plain(id="checking")
        yield self.table
        yield Plain(id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self.on_running_went(self.Went(0))
        self._fill()
        # The app's worker, not this screen's: what is being recorded is recorded to its end.
        self.app.run_worker(self._check, thread=True, group="audit", name="audit")

    def on_unmount(self) -> None:
        self._checking.leave()

    def on_screen_resume(self) -> None:
        self._show_kept()

    def on_running_went(self, message: Went) -> None:
        total, self._done = len(self._checking.order.expected), message.done
        self._so_far.add(message.found)
        self.query_one("#checking", Plain).show(
            f"{progress(message.done, total, time.monotonic() - self._began)}\n"
            f"{self._so_far.counted()}\n"
            "It is recorded once all were looked at. F10 stops it: nothing is recorded then."
        )
        if message.found:
            self._fill()

    def on_resize(self) -> None:
        self._fill()

    @on(DataTable.RowHighlighted)
    def follow_cursor(self, event: DataTable.RowHighlighted) -> None:
        event.stop()
        one = self.finding
        self.query_one("#detail", Plain).show("" if one is None else f"{one.text}\n{rests_on(one)}")

    @property
    def finding(self) -> Finding | None:
        """The finding in hand."""
        at = self.table.cursor_row
        return self._listed[at] if 0 <= at < len(self._listed) else None

    async def action_stop(self) -> None:
        """Leave it; say what is left behind."""
        if self._checking.is_looked_at:
            said = "All jobs were looked at; the audit is being recorded and stands in the list."
        else:
            self._checking.leave()
            total = len(self._checking.order.expected)
            said = f"Stopped after {self._done} of {total} jobs. Nothing of it is recorded."
        await self.app.action_back()
        self.app.notify(said, markup=False)

    def _fill(self) -> None:
        """List what was found so far; the cursor stays with its finding, at its place."""
        before, at = self.finding, self.table.cursor_row
        above = at - self.table.scroll_offset.y
        self._listed = self._so_far.worst()
        self.table.clear(columns=True)
        room = max(20, self.app.size.width - _FIXED)
        for name, width in _HEADINGS:
            self.table.add_column(Text(name), width=width or room)
        for one in self._listed:
            cells = (WORDS[one.severity], one.job or "several", one.text)
            self.table.add_row(
                *(Text(safe_text(cell), overflow="ellipsis", no_wrap=True) for cell in cells)
            )
        places = [place for place, one in enumerate(self._listed) if one is before]
        if places and at > 0:
            self.table.move_cursor(row=places[0], scroll=False)
            self.table.scroll_to(y=max(0, places[0] - above), animate=False)

    def on_running_refused(self, message: Refused) -> None:
        said = f"The audit was not made; nothing is recorded.\n\n{message.error.diagnostics()}"
        self._checking.leave()
        self.query_one("#checking", Plain).show(f"{said}\n\nF10 goes back.", "$text-error")

    def on_running_kept(self, message: Kept) -> None:
        self._kept = message.state
        self._show_kept()

    def _show_kept(self) -> None:
        """Show the findings; where something else is on top, when it is left."""
        from commission.tui.audit.screen import AuditScreen

        if self._kept is not None and self.app.screen is self:
            at = self.finding if self.table.cursor_row > 0 else None
            self.app.switch_screen(AuditScreen(self._bench, self._kept, at))

    def _check(self) -> None:
        worker = get_current_worker()

        found: list[Finding] = []
        last = 0.0

        def told(done: int) -> None:
            nonlocal last
            now = time.monotonic()
            if now - last >= _EVERY_S:
                self.post_message(self.Went(done, tuple(found)))
                found.clear()
                last = now

        try:
            state = self._checking.go(told, lambda: worker.is_cancelled, found.extend)
        except LeftError:
            return
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            self.post_message(self.Kept(state))
