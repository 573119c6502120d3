"""What careless people type instead of looking."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from commission.job.kinds.valued import intended, typed_text
from commission.job.values import values

if TYPE_CHECKING:
    from commission.job.ask import Ask
    from commission.job.state import JobState
    from commission.practice.habits import Habits
    from commission.procedure.model import Setting

_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")
_BOTH_ENDS: Final = 2


def shortcut(habits: Habits, kind: str, ask: Ask, last: str | None) -> str | None:
    """Return what is typed without looking, or None where this habit looks all the same.

    `last` is what was typed for the same probe before.
    """
    if habits.confirms and ask.type == "choice" and ask.criterion in ask.choices:
        return ask.criterion
    if habits.copies and ask.type in ("quantity", "integer") and kind in ("measure", "series"):
        return last or middle(ask)
    return None


def middle(ask: Ask) -> str | None:
    """Return the middle of what an ask says is good; None where it says no numbers."""
    numbers = [float(each) for each in _NUMBER.findall(ask.criterion)]
    text = ask.criterion
    if " to " in text and len(numbers) == _BOTH_ENDS:
        return f"{(numbers[0] + numbers[1]) / 2.0:.4g}"
    if text.startswith("at least") and numbers:
        return f"{1.2 * numbers[0]:.4g}"
    if text.startswith("at most") and numbers:
        return f"{0.5 * numbers[0]:.4g}"
    return None


def expected_cell(state: JobState, kind: str, setting: Setting) -> str | None:
    """Return what a table's cell ought to be: as intended, as written; None where nothing is."""
    stands = state.settings.get(setting.id)
    if stands is None:
        return None
    if kind == "power_cycle" and stands.written is not None:
        return typed_text(stands.written.given)
    if kind == "write":
        found = None if stands.found is None else stands.found.given
        wanted = intended(setting, values(state), found)[0]
        return None if wanted is None else typed_text(wanted)
    return None
