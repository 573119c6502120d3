"""What may happen next in a job: from what a person gives to drafts for the record, or a refusal.

Each function takes a state and returns drafts that `advance` accepts in that state. None of them
reads a clock, a file or a screen.
"""

from __future__ import annotations

from collections.abc import Mapping

from commission.job.ask import Asking
from commission.job.entry import Draft, Instant
from commission.job.state import JobState


def asking(state: JobState, step: str, now: Instant) -> Asking:
    """Return what `step` asks now (for a settled step: what a correction would give again)."""
    raise NotImplementedError


def submit(
    state: JobState,
    step: str,
    given: Mapping[str, str],
    by: str,
    now: Instant,
) -> tuple[Draft, ...]:
    """Return the drafts for what was typed for the open step's present part.

    One draft for a piece; piece and conclusion where it completes the step.

    Raises:
        RefusedError: says which field, what was got, what is expected, how to mend it.
    """
    raise NotImplementedError


def replace_part(
    state: JobState, step: str, part: str, given: Mapping[str, str], reason: str, by: str
) -> tuple[Draft, ...]:
    """Return the draft that replaces a piece already given in the attempt in hand."""
    raise NotImplementedError


def correct(
    state: JobState,
    step: str,
    parts: Mapping[str, Mapping[str, str]],
    reason: str,
    by: str,
    now: Instant,
) -> tuple[Draft, ...]:
    """Return the draft that corrects a concluded step; `parts` overlay what was given."""
    raise NotImplementedError


def automatic(state: JobState, now: Instant) -> tuple[Draft, ...]:
    """Return what the program itself has to record now (a step not applicable); often nothing."""
    raise NotImplementedError


def acknowledge(state: JobState, step: str, by: str) -> Draft:
    """Return the draft saying that the step's cautions were read."""
    raise NotImplementedError


def confirm_hold(
    state: JobState, step: str, by: str, *, agrees: bool = True, reason: str = ""
) -> Draft:
    """Return the draft by which another person confirms (or refuses) a step at its hold point."""
    raise NotImplementedError


def concede(
    state: JobState, step: str, by: str, *, scope: str, expiry: str, reason: str, now: Instant
) -> Draft:
    """Return the concession for a failed step; `expiry` is a date, YYYY-MM-DD, not in the past."""
    raise NotImplementedError


def resume(state: JobState, by: str, reason: str) -> Draft:
    """Return the draft by which a lead lets a stopped job go on."""
    raise NotImplementedError


def join(state: JobState, name: str, roles: tuple[str, ...], by: str) -> Draft:
    """Return the draft by which another person takes part."""
    raise NotImplementedError


def leave(state: JobState, by: str) -> Draft:
    """Return the draft saying that work was left at the open step."""
    raise NotImplementedError


def come_back(state: JobState, by: str) -> Draft:
    """Return the draft saying that work was taken up again."""
    raise NotImplementedError


def reread(state: JobState, by: str) -> Draft:
    """Return the draft saying that the last steps were shown again."""
    raise NotImplementedError


def note(state: JobState, text: str, grade: str, by: str) -> Draft:
    """Return the draft of an open item: grade `A`, `B` or empty."""
    raise NotImplementedError


def close_note(state: JobState, seq: int, text: str, by: str) -> Draft:
    """Return the draft that closes an open item."""
    raise NotImplementedError


def abandon(state: JobState, reason: str, by: str) -> Draft:
    """Return the draft that ends a job without release."""
    raise NotImplementedError
