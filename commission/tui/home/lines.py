"""How a job stands in a list: pure, from what the record says of it to columns of text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from rich.cells import cell_len, set_cell_size

from commission.audit.shares import percent
from commission.safe_text import safe_text
from commission.tui.widgets import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from textual.content import Content

    from commission.record.store import JobLine

_BAR: Final = 10
_GAP: Final = "  "
_STEPS: Final = 7
"""Cells of `117/117`; of more steps the share stands there."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, its width in cells, and how much of any spare room it takes."""

    heading: str
    width: int
    share: int = 0


_SLIM: Final = (
    Column("Bike", 13, 2), Column("Steps", _STEPS), Column("Stands", 13, 2),
    Column("Last change", 12),
)  # fmt: skip
_NARROW: Final = (
    Column("Bike", 14, 2), Column("Procedure", 15, 2), Column("Steps", _STEPS),
    Column("Stands", 15, 2), Column("Last change", 12),
)  # fmt: skip
_WIDE: Final = (
    Column("Bike", 25, 2), Column("Procedure", 19, 1), Column("Steps", _STEPS), Column("", _BAR),
    Column("Stands", 19, 2), Column("Last change", 12), Column("By", 10, 1),
)  # fmt: skip
NARROW_FROM: Final = 71
WIDE_FROM: Final = 114


def columns(width: int) -> tuple[Column, ...]:
    """Return the columns for a list `width` cells wide, spare room given out by share."""
    chosen = _WIDE if width >= WIDE_FROM else _NARROW if width >= NARROW_FROM else _SLIM
    spare = width - sum(column.width for column in chosen) - len(_GAP) * (len(chosen) - 1)
    shares = sum(column.share for column in chosen)
    return tuple(
        Column(column.heading, column.width + max(0, spare) * column.share // shares, column.share)
        for column in chosen
    )


def heading(width: int) -> Content:
    """Return the line of headings."""
    shown = columns(width)
    return plain(_joined(shown, [column.heading for column in shown]), "$text-muted")


def job_line(job: JobLine, width: int, now: datetime) -> Content:
    """Return the line of one job."""
    shown = columns(width)
    cells = {
        "Bike": job.bike if width >= WIDE_FROM else _frame(job),
        "Procedure": job.title,
        "Steps": _steps(job),
        "": bar(job.done, job.total),
        "Stands": f"practice, {job.status}" if job.practice else job.status,
        "Last change": moment(job.last_at, now),
        "By": job.by,
    }
    return plain(_joined(shown, [cells[column.heading] for column in shown]))


def detail(job: JobLine, now: datetime) -> str:
    """Return two lines on the job that is highlighted."""
    ahead = f"Next: {job.step_title}" if job.step_title else f"Ended: {job.status}"
    began = moment(job.opened_at, now)
    return (
        f"{job.bike}   {job.title}, revision {job.revision}\n"
        f"{ahead}\n"
        f"Job {job.job}, last worked on by {job.by}, begun {began}"
    )


def matching(jobs: Iterable[JobLine], typed: str) -> tuple[JobLine, ...]:
    """Return the jobs in which every typed word occurs, in the order they came."""
    words = typed.casefold().split()
    return tuple(job for job in jobs if all(word in _searched(job) for word in words))


def groups(jobs: Iterable[JobLine]) -> list[tuple[str, list[JobLine]]]:
    """Return the jobs under headings, those still open first; no heading stands alone."""
    every = list(jobs)
    still = [job for job in every if not job.is_finished]
    ended = [job for job in every if job.is_finished]
    headed = ((f"Open jobs ({len(still)})", still), (f"Ended ({len(ended)})", ended))
    return [(title, members) for title, members in headed if members]


def bar(done: int, total: int) -> str:
    """Return the progress as a bar of fixed length; full only when all is done."""
    filled = 0 if total <= 0 else min(_BAR, done * _BAR // total)
    return "█" * filled + "░" * (_BAR - filled)


def moment(at: str, now: datetime) -> str:
    """Return a moment of the record in `now`'s time zone, short: today's by the clock alone."""
    try:
        there = datetime.fromisoformat(at).astimezone(now.tzinfo)
    except ValueError:
        return safe_text(at)
    if there.date() == now.date():
        return f"today {there:%H:%M}"
    if there.year == now.year:
        return f"{there.day} {there:%b %H:%M}"
    return f"{there.day} {there:%b %Y}"


def _steps(job: JobLine) -> str:
    counted = f"{job.done}/{job.total}"
    return counted if len(counted) <= _STEPS else percent(job.done, job.total)


def _frame(job: JobLine) -> str:
    """Return what tells bikes apart: the first part of what is known of it."""
    return job.bike.partition(" · ")[0]


def _searched(job: JobLine) -> str:
    parts = (job.bike, job.title, job.procedure, job.status, job.by, job.job, job.step_title)
    return " ".join(parts).casefold()


def _joined(shown: Sequence[Column], cells: Sequence[str]) -> str:
    fitted = (fit(cell, column.width) for cell, column in zip(cells, shown, strict=True))
    return _GAP.join(fitted).rstrip()


def fit(text: object, width: int) -> str:
    """Return `text` in exactly `width` cells, cut with an ellipsis where it is longer."""
    safe = safe_text(text)
    if cell_len(safe) <= width:
        return set_cell_size(safe, width)
    return set_cell_size(safe, width - 1) + "…"
