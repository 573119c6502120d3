"""When a job may be released: nothing open that blocks it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from commission.errors import IllegalEntryError
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.state import JobState
    from commission.job.working import Working


def hindrances(state: JobState | Working, at: str) -> tuple[str, ...]:
    """Return what forbids the release at a moment (RFC 3339), each in words; empty when none.

    Steps not settled are the frontier's matter; here are open items of grade A and concessions
    whose last day has passed.
    """
    return (*_open_items(state), *_expired(state, at))


def check(job: Working, at: str) -> None:
    """Refuse a release that something forbids.

    Raises:
        IllegalEntryError: names everything that does.
    """
    found = hindrances(job, at)
    if found:
        raise IllegalEntryError(
            f"The job cannot be released: {'; '.join(found)}.",
            "Close the items, or have the concessions renewed.",
        )


def day_of(at: str) -> date:
    """Return the UTC day of a moment.

    Raises:
        IllegalEntryError: it is no RFC 3339 time.
    """
    return parsed_day(at[:10])


def parsed_day(text: str) -> date:
    """Return a date written as YYYY-MM-DD.

    Raises:
        IllegalEntryError: it is none.
    """
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise IllegalEntryError(f"{text!r} is not a date.", "Write it as 2030-12-31.") from error


def _open_items(state: JobState | Working) -> Iterator[str]:
    for note in state.notes.values():
        if note.grade == "A" and not note.closed:
            yield f"open item {note.seq} blocks it ({note.text})"


def _expired(state: JobState | Working, at: str) -> Iterator[str]:
    today = day_of(at)
    for step, stands in state.steps.items():
        concession = stands.concession
        if stands.status is not Status.CONCEDED or concession is None:
            continue
        if parsed_day(concession.expiry) < today:
            yield f"the concession for {step} expired on {concession.expiry}"
