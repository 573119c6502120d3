"""What is open or was conceded: open items, concessions, steps not good or not done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.release import hindrances
from commission.job.route import route
from commission.job.state import Status
from commission.report.document import Block, Column, Paragraph, Table
from commission.report.sheets import instruments
from commission.report.times import counted

if TYPE_CHECKING:
    from commission.report.subject import Subject

_GRADES: Final = {"A": "A: blocks safe use", "B": "B: may follow by agreement", "": "remark"}
_ALWAYS: Final = frozenset({Status.MARGINAL, Status.CONCEDED, Status.FAILED, Status.DUE_AGAIN})


def open_items(subject: Subject) -> Table:
    """Return the notes of a job, open ones first."""
    notes = sorted(subject.state.notes.values(), key=lambda note: (note.closed, note.seq))
    rows = tuple(
        (
            _GRADES.get(note.grade, note.grade),
            "closed" if note.closed else "open",
            note.text,
            f"{note.by}, entry {note.seq}",
        )
        for note in notes
    )
    loud = frozenset(
        at for at, note in enumerate(notes) if note.grade == "A" and not note.closed
    )  # fmt: skip
    columns = (Column("grade", "grade", 1.2), Column("state", "state", 0.6),
               Column("text", "item", 3), Column("by", "by", 1.2))  # fmt: skip
    return Table("open_items", columns, rows, "No open items were noted.", loud)


def in_short(subject: Subject) -> str:
    """Return how much is open or was conceded, for the first page: `1 open item; 1 concession`."""
    left = sum(not note.closed and bool(note.grade) for note in subject.state.notes.values())
    leave = len(concessions(subject).rows)
    said = [counted(left, "open item")] if left else []
    said += [counted(leave, "concession")] if leave else []
    return "; ".join(said) or "nothing"


def concessions(subject: Subject) -> Table:
    """Return what was accepted with a known shortfall, by whom and until when.

    Steps first, then leave to read with instruments that were not in calibration.
    """
    plan = subject.state.plan
    rows = tuple(
        (
            plan.planned(step).step.title,
            given.scope,
            given.reason,
            f"{given.by} ({given.role}), entry {given.seq}",
            given.expiry,
        )
        for step, stands in subject.state.steps.items()
        if stands.status is Status.CONCEDED and (given := stands.concession) is not None
    ) + tuple(instruments.leave_rows(subject))
    columns = (
        Column("step", "step", 2), Column("scope", "scope", 1.6), Column("reason", "reason", 1.6),
        Column("by", "given by", 1.2), Column("expiry", "holds until", 1),
    )  # fmt: skip
    return Table("concessions", columns, rows, "No concessions.")


def not_plain(subject: Subject) -> Table:
    """Return the steps that did not simply pass, each with why."""
    rows = tuple(
        (line.number, line.title, line.word, line.reason or "-")
        for line in route(subject.state)
        if line.status in _ALWAYS
    )
    columns = (Column("number", "step", 0.6), Column("title", "what", 2.4),
               Column("state", "state", 0.9), Column("why", "why", 3))  # fmt: skip
    return Table("not_plain", columns, rows, "Every step that was done passed plainly.")


def hindrance_blocks(subject: Subject) -> list[Block]:
    """Return what forbids the release of an open job, each loud; none where nothing does."""
    if subject.state.outcome:
        return []
    found = hindrances(subject.state, subject.state.at)
    return [Paragraph(f"Blocks the release: {text}.", loud=True) for text in found]
