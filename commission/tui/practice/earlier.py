"""The practice jobs of before, to look at: they are never jobs of the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen

from commission.errors import CommissionError
from commission.tui.home import lines
from commission.tui.home.job_list import JobList
from commission.tui.job.frame import PRACTICE
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.job.state import JobState
    from commission.record.store import JobLine
    from commission.tui.app import CommissionApp

_MARGINS = 5


class EarlierPractice(Screen[None]):
    """Lists them, last worked on first; Enter looks at one."""

    about = "Practice jobs of before, in a store of their own. They can be looked at only."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Look", id="earlier.look", tooltip="Look at the job"),
        Binding("down", "move('cursor_down')", "Down", id="earlier.down", show=False),
        Binding("up", "move('cursor_up')", "Up", id="earlier.up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", show=False),
        Binding("pageup", "move('page_up')", "Page up", show=False),
        Binding("f10", "app.back", "Back", id="earlier.back", tooltip="Back"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    EarlierPractice {
        #heading { height: 1; margin: 1 1 0 1; padding: 0 1; text-wrap: nowrap; }
        JobList { margin: 0 1; }
        #detail { height: 5; margin: 0 1; padding: 1; color: $text-muted; }
    }
    """
    app: CommissionApp

    @dataclass
    class JobsRead(Message):
        """The practice store was read."""

        jobs: tuple[JobLine, ...]

    @dataclass
    class LookedAt(Message):
        """One job was read."""

        state: JobState

    @dataclass
    class Refused(Message):
        """It could not be read."""

        error: CommissionError

    def __init__(self, store: str | None = None) -> None:
        """List the jobs of `store`; None is the usual practice store."""
        super().__init__()
        self._store = store
        self._jobs: tuple[JobLine, ...] = ()

    def compose(self) -> ComposeResult:
        yield TitleBar("Practice jobs", PRACTICE)
        yield Plain(id="heading")
        yield JobList()
        yield Plain("Reading …", id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self._read()

    def on_resize(self) -> None:
        self._list()

    @work(thread=True, exclusive=True, group="earlier")
    def _read(self, job: str = "") -> None:
        from commission.record.bench import Bench
        from commission.record.places import practice

        try:
            with Bench.open(self._store or practice(), create=False) as bench:
                found = self.LookedAt(bench.look(job)) if job else self.JobsRead(bench.jobs())
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            self.post_message(found)

    @on(JobsRead)
    def show_jobs(self, message: JobsRead) -> None:
        self._jobs = message.jobs
        self._list()

    @on(LookedAt)
    def show_state(self, message: LookedAt) -> None:
        from commission.tui.home.look import Look

        self.app.push_screen(Look(message.state))

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        self._say("No practice job yet." if not self._jobs else message.error.diagnostics())

    @on(JobList.OptionHighlighted)
    def show_detail(self, event: JobList.OptionHighlighted) -> None:
        event.stop()
        job = self.query_one(JobList).job
        self._say("" if job is None else lines.detail(job, self.app.now()))

    def action_move(self, how: str) -> None:
        getattr(self.query_one(JobList), f"action_{how}")()

    def action_look(self) -> None:
        job = self.query_one(JobList).job
        if job is not None:
            self._read(job.job)

    def _list(self) -> None:
        if not self._jobs or not self.is_mounted:
            return
        width = self.size.width - _MARGINS
        self.query_one("#heading", Plain).show(lines.heading(width))
        self.query_one(JobList).show(self._jobs, width, self.app.now())

    def _say(self, text: str) -> None:
        self.query_one("#detail", Plain).show(text)
