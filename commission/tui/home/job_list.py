"""The list of jobs: headings, one line each, and the highlight that stays on its job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets.option_list import Option

from commission.tui.home import lines
from commission.tui.widgets import Choices, plain

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from commission.record.store import JobLine


class JobList(Choices):
    """Shows jobs; its screen's keys move the highlight."""

    DEFAULT_CSS = """
    JobList {
        height: 1fr;
        text-wrap: nowrap;
        & > .option-list--option { padding: 0 1; }
    }
    """

    def __init__(self, *, id: str | None = None) -> None:
        """Start empty; `show` fills it."""
        super().__init__(id=id, can_focus=False)
        self._rows: list[JobLine | None] = []

    @property
    def job(self) -> JobLine | None:
        """The highlighted job."""
        at = self.highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    def show(self, jobs: Iterable[JobLine], width: int, now: datetime) -> None:
        """List `jobs` in lines of `width` cells; the same job stays highlighted where it can."""
        before = self.job
        options: list[Option] = []
        self._rows = []
        for title, members in lines.groups(jobs):
            options.append(Option(plain(title, "bold $text-muted"), disabled=True))
            options += [Option(lines.job_line(job, width, now)) for job in members]
            self._rows += [None, *members]
        if not options:
            nothing = plain("No job has these words. Escape shows all.")
            options, self._rows = [Option(nothing, disabled=True)], [None]
        self.set_options(options)
        self.highlighted = self._place_of(before)

    def _place_of(self, wanted: JobLine | None) -> int | None:
        places = [at for at, job in enumerate(self._rows) if job is not None]
        same = [at for at in places if wanted and self._id_at(at) == wanted.job]
        return next(iter(same or places), None)

    def _id_at(self, at: int) -> str:
        job = self._rows[at]
        return "" if job is None else job.job
