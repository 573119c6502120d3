"""Opening a job from Home: taking it for work, or only looking at it, in the background."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from textual import on, work
from textual.message import Message
from textual.screen import Screen

from commission.errors import CommissionError
from commission.tui.home import who
from commission.tui.notice import Notice

if TYPE_CHECKING:
    from commission.job.state import JobState
    from commission.record.bench import Bench
    from commission.record.session import Session
    from commission.record.store import JobLine
    from commission.tui.app import CommissionApp

NOBODY: Final = "Nobody of these: back to the jobs"
LOOK: Final = "Look at it, without changing anything"


class OpensJobs(Screen[None]):
    """A screen that opens jobs, one at a time; what could not be opened comes back as `Refused`."""

    @dataclass
    class Refused(Message):
        """The bench could not be opened or read, or a job not be opened."""

        error: CommissionError
        job: str = ""

    @dataclass
    class JobTaken(Message):
        """A job was opened for work."""

        session: Session

    @dataclass
    class LookedAt(Message):
        """A job was read, to be looked at."""

        state: JobState

    app: CommissionApp

    def __init__(self) -> None:
        """Start with no job being opened."""
        super().__init__()
        self.is_opening = False

    def open(self, job: JobLine) -> None:
        """Open a job for work; a finished one to look at."""
        if self.is_opening:
            return
        self.is_opening = True
        self.opening_changed()
        if job.is_finished:
            self.look(job.job)
        else:
            self.take(job.job)

    def opening_changed(self) -> None:
        """React to a job being opened, or not any more."""

    @on(LookedAt)
    def show_state(self, message: LookedAt) -> None:
        from commission.tui.home.look import Look

        self.is_opening = False
        self.app.push_screen(Look(message.state))

    @on(JobTaken)
    def show_job(self, message: JobTaken) -> None:
        self.is_opening = False
        session = message.session
        names = who.workers(session.state.people)
        if self.app.technician in names or len(names) == 1:
            self._open_as(session, self.app.technician if len(names) > 1 else names[0])
            return
        text = "What is recorded from here on carries this name."
        self.app.push_screen(
            Notice("Who is at the bench?", text, (*names, NOBODY)),
            lambda name: self._open_as(session, name),
        )

    @work(thread=True, exclusive=True, group="take")
    def take(self, job: str) -> None:
        try:
            session = self._bench().resume(job)
        except CommissionError as error:
            self.post_message(self.Refused(error, job))
        else:
            self.post_message(self.JobTaken(session))

    @work(thread=True, exclusive=True, group="take")
    def look(self, job: str) -> None:
        try:
            state = self._bench().look(job)
        except CommissionError as error:
            self.post_message(self.Refused(error, job))
        else:
            self.post_message(self.LookedAt(state))

    def _bench(self) -> Bench:
        if self.app.bench is None:
            raise CommissionError("The bench is not open.")
        return self.app.bench

    def _open_as(self, session: Session, name: str | None) -> None:
        if name is None or name == NOBODY:
            session.close()
            return
        self.app.technician = name
        self.app.open_job(session)

    def after_notice(self, choice: str | None, job: str) -> None:
        if choice == LOOK:
            self.is_opening = True
            self.look(job)
