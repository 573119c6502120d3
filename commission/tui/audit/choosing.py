"""The form for a new audit: which jobs, all or a sample of them, by whom; counted as one types."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from commission.errors import CommissionError
from commission.tui.audit import selecting
from commission.tui.audit.chosen_text import job_lines, summary
from commission.tui.audit.paragraphs import laid_out
from commission.tui.audit.who_worked import people_in
from commission.tui.notice import Notice
from commission.tui.widgets import Choices, Field, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.record.store import JobLine
    from commission.tui.app import CommissionApp
    from commission.tui.audit.selecting import Chosen

_ROWS: Final = (
    ("purpose", "What for", "for example: second quarter"),
    ("auditor", "Who audits", "name, id or initials"),
    ("technician", "Technician", "everybody"),
    ("bike", "Bike", "every bike"),
    ("procedure", "Procedure", "every procedure"),
    ("since", "Opened from", "2030-12-31, or empty"),
    ("until", "Opened until", "2030-12-31, or empty"),
    ("outcome", "Outcome", "any"),
    ("practice", "Practice jobs", "no"),
    ("sample", "Sample", "all; F4 goes through plans"),
)
_BATCH: Final = 50
"""Jobs after which it is told who worked at them."""


class ChooseJobs(Screen[None]):
    """Choose jobs, or draw a sample; F2 checks them."""

    AUTO_FOCUS = "#purpose"
    about = (
        "Which finished jobs are to be checked. What is left empty asks nothing; the counts follow"
        " what is typed. A sample is drawn by the records' own heads: nobody chooses, and whoever"
        " draws again draws the same."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "start", "Check them", id="choose_jobs.start",
                tooltip="Check the jobs drawn, and keep the audit"),
        Binding("f4", "sample", "Sample", id="choose_jobs.sample",
                tooltip="Go through the plans of a sample; any other may be typed"),
        Binding("down", "app.focus_next", "Next line", show=False),
        Binding("up", "app.focus_previous", "Line before", show=False),
        Binding("pagedown", "page('down')", "Page down", id="choose_jobs.down", show=False,
                tooltip="Further down the list of jobs"),
        Binding("pageup", "page('up')", "Page up", id="choose_jobs.up", show=False,
                tooltip="Further up the list of jobs"),
        Binding("f10", "app.back", "Back", id="choose_jobs.back",
                tooltip="Leave this; nothing is recorded"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ChooseJobs {
        #form { height: auto; margin: 1 1 0 1; }
        Horizontal { height: 1; }
        Horizontal:focus-within { background: $surface; }
        Horizontal:focus-within .label { color: $accent; text-style: bold; }
        .label { width: 15; text-align: right; padding: 0 1 0 0; text-wrap: nowrap; }
        Field { width: 1fr; max-width: 44; }
        .note { width: 1fr; padding: 0 0 0 1; color: $text-muted; text-wrap: nowrap;
                text-overflow: ellipsis; }
        #summary { height: auto; margin: 1 2 0 2; }
        #drawn { height: 1fr; margin: 0 2; text-wrap: nowrap; text-overflow: ellipsis; }
    }
    """
    app: CommissionApp

    @dataclass
    class JobsRead(Message):
        """The bench's jobs were read."""

        jobs: tuple[JobLine, ...]

    @dataclass
    class PeopleRead(Message):
        """It is known who worked at some more jobs."""

        people: dict[str, frozenset[str]]

    @dataclass
    class Refused(Message):
        """The bench could not be read."""

        error: CommissionError

    def __init__(self, bench: Bench, auditor: str = "") -> None:
        """Choose among the jobs of `bench`; `auditor` is offered."""
        super().__init__()
        self._bench = bench
        self._auditor = auditor
        self._jobs: tuple[JobLine, ...] | None = None
        self._people: dict[str, frozenset[str]] = {}
        self._chosen: Chosen | None = None

    def compose(self) -> ComposeResult:
        yield TitleBar("New audit", "which jobs")
        offered = {"auditor": self._auditor, "outcome": "finished", "practice": "no"}
        with Vertical(id="form"):
            for name, label, placeholder in _ROWS:
                with Horizontal():
                    yield Plain(label, classes="label")
                    yield Field(offered.get(name, ""), placeholder=placeholder, id=name,
                                max_length=200)  # fmt: skip
                    yield Plain(id=f"{name}-note", classes="note")
        yield Plain("Reading the bench's jobs …", id="summary")
        yield Choices(id="drawn", can_focus=False)
        yield KeyBar()

    def on_mount(self) -> None:
        self._read()

    def on_resize(self) -> None:
        self._show_jobs()

    @property
    def chosen(self) -> Chosen | None:
        """What the form means now; None while the jobs are not read."""
        return self._chosen

    @work(thread=True, exclusive=True, group="choose-jobs")
    def _read(self) -> None:
        worker = get_current_worker()
        try:
            jobs = self._bench.jobs()
            self.post_message(self.JobsRead(jobs))
            known: dict[str, frozenset[str]] = {}
            for line in jobs:
                if worker.is_cancelled:
                    return
                known[line.job] = people_in(self._bench.store, line.job)
                if len(known) >= _BATCH:
                    self.post_message(self.PeopleRead(known))
                    known = {}
            self.post_message(self.PeopleRead(known))
        except CommissionError as error:
            self.post_message(self.Refused(error))

    @on(JobsRead)
    def take_jobs(self, message: JobsRead) -> None:
        self._jobs = message.jobs
        self._follow()

    @on(PeopleRead)
    def take_people(self, message: PeopleRead) -> None:
        self._people |= message.people
        self._follow()

    @on(Refused)
    def show_refusal(self, message: Refused) -> None:
        said = f"The jobs cannot be read.\n\n{message.error.diagnostics()}"
        self.query_one("#summary", Plain).show(said, "$text-error")

    @on(Input.Changed)
    def follow_typing(self, event: Input.Changed) -> None:
        event.stop()
        self._follow()

    @on(Input.Submitted)
    def go_on(self, event: Input.Submitted) -> None:
        event.stop()
        self.focus_next(Field)

    def action_page(self, way: str) -> None:
        getattr(self.query_one(Choices), f"action_page_{way}")()

    def action_sample(self) -> None:
        field = self.query_one("#sample", Field)
        field.value = selecting.sample_after(field.value)

    def action_start(self) -> None:
        from commission.audit.book import AuditBook
        from commission.tui.audit.checking import Checking, Order
        from commission.tui.audit.running import Running

        typed, chosen = self._typed(), self._chosen
        said = _missing(typed, chosen)
        if chosen is not None and not said:
            try:
                AuditBook(self._bench).auditor(typed.auditor)
            except CommissionError as error:
                said = error.diagnostics()
        if chosen is None or said:
            self.app.push_screen(Notice("Not yet", said))
            return
        order = Order(typed.purpose, typed.auditor, chosen.selection,
                      chosen.plan.text if chosen.plan else "", chosen.drawn,
                      chosen.digest)  # fmt: skip
        self.app.switch_screen(Running(self._bench, Checking(self._bench, order)))

    def _typed(self) -> selecting.Typed:
        return selecting.typed_of(
            {name: self.query_one(f"#{name}", Field).value for name, _, _ in _ROWS}
        )

    def _follow(self) -> None:
        if self._jobs is None or not self.is_mounted:
            return
        chosen = self._chosen = selecting.choose(self._typed(), self._jobs, self._people)
        for name, _, _ in _ROWS:
            note = self.query_one(f"#{name}-note", Plain)
            if name in chosen.wrong:
                note.show(f"! {chosen.wrong[name]}", "bold $text-error")
            else:
                note.show(chosen.notes.get(name, ""))
        self.query_one("#summary", Plain).show(laid_out(summary(chosen), self.size.width - 4))
        self._show_jobs()

    def _show_jobs(self) -> None:
        if self._chosen is None or not self.is_mounted:
            return
        lines = job_lines(self._chosen, self.size.width - 6, self.app.now())
        self.query_one(Choices).set_options(Option(plain(line)) for line in lines)


def _missing(typed: selecting.Typed, chosen: Chosen | None) -> str:
    """Return what has to be put right before the start, in words; empty where nothing has."""
    if chosen is None:
        return "The jobs are not read yet."
    if chosen.wrong:
        return "\n".join(f"{dict(_labels())[name]}: {said}." for name, said in chosen.wrong.items())
    if not typed.purpose.strip():
        return "Say what the audit is for: the record of the audit begins with it."
    if not typed.auditor.strip():
        return "Say who audits."
    return "" if chosen.drawn else "No job is like that. Widen what is asked for."


def _labels() -> tuple[tuple[str, str], ...]:
    return tuple((name, label) for name, label, _ in _ROWS)
