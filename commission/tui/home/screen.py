"""Home: the open jobs with their progress, the finished ones, and the way to a new one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input, OptionList

from commission.errors import BusyError, CommissionError
from commission.tui.home import lines
from commission.tui.home.job_list import JobList
from commission.tui.home.opening import LOOK, OpensJobs
from commission.tui.notice import Notice
from commission.tui.palette import Command
from commission.tui.widgets import Field, KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.app import ComposeResult

    from commission.record.store import JobLine

EMPTY = (
    "No job yet on this bench.\n\nPress F2 to start the first one,\n"
    "or F4 to practise one on a virtual bike.\n\n"
    "For its lead: F7 people and instruments, F6 audits, F8 reports."
)
_MARGINS = 5


class Home(OpensJobs):
    """The bench's jobs. The field at the top always has the keys; the list follows it."""

    AUTO_FOCUS = "#filter"
    about = (
        "The jobs of this bench. Type to narrow the list (or scan a frame number), choose with"
        " Up and Down, and open with Enter."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Open", id="home.open", priority=True,
                tooltip="Open the highlighted job"),
        Binding("f2", "start", "New job", id="home.start", tooltip="Start a job on a bike"),
        Binding("f3", "calculators", "Calculators", id="home.calculators",
                tooltip="All calculators of the trade, by topic"),
        Binding("f4", "practice", "Practice", id="home.practice", show=False,
                tooltip="A whole job on a virtual bike, sound or with a fault"),
        Binding("f6", "audits", "Audits", id="home.audits", show=False,
                tooltip="Finished jobs checked afterwards; earlier audits; overviews"),
        Binding("f7", "register", "Register", id="home.register", show=False,
                tooltip="People, their roles and keys"),
        Binding("f8", "report", "Report", id="home.report", show=False,
                tooltip="Write the highlighted job's handover sheet, record or settings to a file"),
        Binding("f5", "reload", "Read again", id="home.reload", show=False,
                tooltip="Read the list of jobs again"),
        Binding("down", "move('cursor_down')", "Down", id="home.down", show=False),
        Binding("up", "move('cursor_up')", "Up", id="home.up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", id="home.pagedown", show=False),
        Binding("pageup", "move('page_up')", "Page up", id="home.pageup", show=False),
        Binding("escape", "clear", "Show all jobs", id="home.clear", show=False),
        Binding("f10", "app.quit", "Quit", id="home.quit",
                tooltip="Quit; what was confirmed is recorded"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Home {
        #filter { margin: 1 1 0 1; }
        #heading { height: 1; margin: 1 1 0 1; padding: 0 1; text-wrap: nowrap; }
        #jobs { margin: 0 1; }
        #state { height: 1fr; margin: 2 3; display: none; }
        #detail { height: 5; margin: 0 1; padding: 1 1 0 1; color: $text-muted; text-wrap: nowrap;
                  text-overflow: ellipsis; }
        &.-saying #jobs, &.-saying #detail, &.-saying #heading { display: none; }
        &.-saying #state { display: block; }
    }
    """

    @dataclass
    class JobsRead(Message):
        """The bench is open and its jobs were read."""

        jobs: tuple[JobLine, ...]

    def __init__(self) -> None:
        """Start without jobs: they are read once this is on the screen."""
        super().__init__()
        self._jobs: tuple[JobLine, ...] = ()

    def compose(self) -> ComposeResult:
        yield TitleBar("commission", "jobs on this bench")
        yield Field(placeholder="Type or scan to find a job: frame, model, procedure, name",
                    id="filter")  # fmt: skip
        yield Plain(id="heading")
        yield JobList(id="jobs")
        yield Plain(id="state")
        yield Plain(id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self._say("Reading the bench's jobs …")
        self.call_after_refresh(self.read_jobs)

    def on_screen_left(self) -> None:
        self.read_jobs()

    def on_resize(self) -> None:
        self._list()

    def commands(self) -> Iterable[Command]:
        """Return one command per job, for the search."""
        return [
            Command(f"Open {job.bike or job.job}", partial(self.open, job), job.title)
            for job in self._jobs
        ]

    @work(thread=True, exclusive=True, group="jobs")
    def read_jobs(self) -> None:
        try:
            if self.app.bench is None:
                self.app.bench = self.app.opener()
            jobs = self.app.bench.jobs()
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            self.post_message(self.JobsRead(jobs))

    @on(JobsRead)
    def show_jobs(self, message: JobsRead) -> None:
        self._jobs = message.jobs
        if self._jobs:
            self._list()
        else:
            self._say(EMPTY)
        self._warm()
        if self.app.first_job:
            job, self.app.first_job = self.app.first_job, None
            self.is_opening = True
            self.take(job)

    @on(OpensJobs.Refused)
    def show_refusal(self, message: OpensJobs.Refused) -> None:
        error = message.error
        self.is_opening = False
        self._show_detail()
        if not message.job:
            self._say(f"The jobs cannot be shown.\n\n{error.diagnostics()}\n\n"
                      "F5 tries again, F10 quits.", "$text-error")  # fmt: skip
            return
        choices = ("Back", LOOK) if isinstance(error, BusyError) else ("Back",)
        notice = Notice("Not opened", error.diagnostics(), choices)
        self.app.push_screen(notice, lambda choice: self.after_notice(choice, message.job))

    @on(Input.Changed, "#filter")
    def narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._list()

    @on(OptionList.OptionHighlighted, "#jobs")
    def show_detail(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self._show_detail()

    @on(OptionList.OptionSelected, "#jobs")
    def open_clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_open()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer what needs a job only where there is one."""
        del parameters
        if action in {"open", "report"}:
            return self.is_mounted and self.list.job is not None
        return True

    @property
    def list(self) -> JobList:
        """The list of jobs."""
        return self.query_one(JobList)

    def action_open(self) -> None:
        job = self.list.job
        if job is not None:
            self.open(job)

    def action_report(self) -> None:
        from commission.tui.report.dialog import WriteReport

        job = self.list.job
        if job is not None and self.app.bench is not None:
            self.app.push_screen(
                WriteReport(self.app.bench, job.job, job.bike, is_finished=job.is_finished)
            )

    def action_start(self) -> None:
        from commission.tui.start.screen import Start

        if self.is_opening:
            return
        if self.app.bench is None:
            self.notify("The bench is not open yet.", severity="warning", markup=False)
        else:
            last = self._jobs[0].by if self._jobs else ""
            self.app.push_screen(Start(self.app.bench, self.app.technician or last))

    def action_calculators(self) -> None:
        from commission.tui.calculators.opening import open_list

        open_list(self.app)

    def action_register(self) -> None:
        from commission.tui.register.screen import RegisterScreen

        if self.app.bench is not None:
            self.app.push_screen(RegisterScreen(self.app.bench))

    def action_audits(self) -> None:
        from commission.tui.audit.opening import open_audits

        if self.app.bench is not None:
            open_audits(self.app)

    def action_practice(self) -> None:
        from commission.tui.practice.opening import open_practice

        open_practice(self.app)

    def action_reload(self) -> None:
        self.read_jobs()

    def action_move(self, how: str) -> None:
        getattr(self.list, f"action_{how}")()

    def action_clear(self) -> None:
        self.query_one("#filter", Field).value = ""

    @work(thread=True, exclusive=True, group="warm")
    def _warm(self) -> None:
        """Load what opening a job needs while nobody waits for it."""
        import commission.job.advance
        import commission.procedure.load  # noqa: F401

    def _say(self, text: str, style: str = "") -> None:
        self.query_one("#state", Plain).show(text, style)
        self.set_class(True, "-saying")

    def _list(self) -> None:
        if not self._jobs or not self.is_mounted:
            return
        width = self.size.width - _MARGINS
        found = lines.matching(self._jobs, self.query_one("#filter", Field).value)
        self.set_class(False, "-saying")
        self.query_one("#heading", Plain).show(lines.heading(width))
        self.list.show(found, width, self.app.now())
        self._show_detail()

    def opening_changed(self) -> None:
        self._show_detail()

    def _show_detail(self) -> None:
        job = self.list.job
        said = "Opening …" if self.is_opening else lines.detail(job, self.app.now()) if job else ""
        self.query_one("#detail", Plain).show(said)
        self.refresh_bindings()
