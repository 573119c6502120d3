"""A job's state while entries are being added to it.

`JobState` is a value; making one costs a copy of its mappings. `Working` is opened on such copies,
changed in place by the rules, and frozen again: once per entry in a live job, once per record in
a replay.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.job.state import SETTLED, JobState

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import StepState


class Working:
    """The fields of `JobState`, open to change by the rules alone."""

    __slots__ = (
        "at", "away", "clock", "frontier", "ids", "instrument_leaves", "jumps", "notes", "opened",
        "outcome", "people", "plan", "recent", "reread", "seq", "settings", "steps", "stopped",
    )  # fmt: skip

    def __init__(self, state: JobState) -> None:
        """Open a copy of `state`."""
        self.plan = state.plan
        self.seq = state.seq
        self.opened = state.opened
        self.at = state.at
        self.clock = state.clock
        self.people = dict(state.people)
        self.steps = dict(state.steps)
        self.settings = dict(state.settings)
        self.frontier = state.frontier
        self.stopped = state.stopped
        self.away = state.away
        self.reread = state.reread
        self.recent = state.recent
        self.notes = dict(state.notes)
        self.jumps = state.jumps
        self.outcome = state.outcome
        self.ids = dict(state.ids)
        self.instrument_leaves = state.instrument_leaves

    def frozen(self) -> JobState:
        """Return the state as a value. Nothing may be changed here afterwards."""
        return JobState(
            self.plan, self.seq, self.opened, self.at, self.clock, self.people, self.steps,
            self.settings, self.frontier, self.stopped, self.away, self.reread, self.recent,
            self.notes, self.jumps, self.outcome, self.ids,
            self.instrument_leaves,
        )  # fmt: skip

    def any_step(self, entry: Entry) -> tuple[PlannedStep, StepState]:
        """Return the step an entry is about, wherever it stands."""
        if entry.step is None or entry.step not in self.plan.index:
            raise IllegalEntryError(f"There is no step {entry.step}.")
        return self.plan.planned(entry.step), self.steps[entry.step]

    def at_frontier(self, entry: Entry) -> tuple[PlannedStep, StepState]:
        """Return the step an entry is about, which must be the first unsettled one."""
        steps = self.plan.steps
        planned = steps[self.frontier] if self.frontier < len(steps) else None
        if planned is None or planned.id != entry.step:
            due = f"The step to do is {planned.id}." if planned else "Every step is settled."
            raise IllegalEntryError(f"Step {entry.step} is not the one to do now.", due)
        return planned, self.steps[planned.id]

    def open_step(self, entry: Entry) -> tuple[PlannedStep, StepState]:
        """Return the step an entry answers, which must be open to answers in this attempt."""
        planned, stands = self.at_frontier(entry)
        if not stands.is_open:
            raise IllegalEntryError(
                f"Step {entry.step} stands as {stands.status}; it cannot be answered now.",
                "A hold waits for another person; a failure for a remedy, a lead, a concession.",
            )
        if entry.attempt != stands.attempt:
            raise IllegalEntryError(
                f"The entry is of attempt {entry.attempt} at step {entry.step}; "
                f"attempt {stands.attempt} is in hand."
            )
        return planned, stands

    def go_forward(self) -> None:
        """Move the frontier past what is settled."""
        steps, order, place = self.steps, self.plan.steps, self.frontier
        while place < len(order):
            if steps[order[place].id].status not in SETTLED:
                break
            place += 1
        self.frontier = place

    def go_back(self, step: str) -> None:
        """Move the frontier back to a step that is not settled any more."""
        self.frontier = min(self.frontier, self.plan.index[step])
