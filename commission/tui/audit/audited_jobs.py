"""All jobs of an audit, with how much was found in each; gives the place of the one to walk."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widgets import DataTable

from commission.tui.job.lists import ListScreen

if TYPE_CHECKING:
    from commission.audit.state import AuditState


class AuditedJobs(ListScreen):
    """Every job audited, whether anything was found or not."""

    about = "All jobs of this audit. Enter walks the one in hand, as it happened."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "walk", "Walk", id="audited.walk", priority=True,
                tooltip="Walk the job as it happened"),
    ]  # fmt: skip

    def __init__(self, state: AuditState) -> None:
        """List the jobs of an audit."""
        jobs = () if state.opened is None else state.opened.jobs
        took_part = frozenset(() if state.opened is None else state.opened.body["took_part"])
        faults = Counter(one.job for one in state.findings.values() if not one.is_sign)
        signs = Counter(one.job for one in state.findings.values() if one.is_sign)
        super().__init__(
            f"{len(jobs)} {'job' if len(jobs) == 1 else 'jobs'} audited",
            ("job", "entries", "faults", "signs", ""),
            [
                (one["job"], str(one["entries"]), str(faults[one["job"]] or "-"),
                 str(signs[one["job"]] or "-"),
                 "the auditor worked in it" if one["job"] in took_part else "")
                for one in jobs
            ],
            [f"{one['job']}: {one['entries']} entries, head when audited\n{one['head']}"
             for one in jobs],
        )  # fmt: skip

    @on(DataTable.RowSelected)
    def chosen(self, event: DataTable.RowSelected) -> None:
        event.stop()
        self.action_walk()

    def action_walk(self) -> None:
        if self.table.row_count:
            self.dismiss(self.table.cursor_row)
