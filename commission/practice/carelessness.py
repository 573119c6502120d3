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
        if ask.probe in PRINTED:
            return None
        return last if last is not None and _is_good(ask, last) else middle(ask)
    return None


PRINTED: Final = frozenset(
    {
        "bike.declared_speed", "bike.wanted_share", "bike.wanted_speed", "cable.area",
        "fuse.rating", "fuse.voltage", "pack.series", "ride.time", "temperature.ambient",
    }
)  # fmt: skip
"""What is read off a part or a wall, or asked of a person: too easy to be made up."""


def _is_good(ask: Ask, text: str) -> bool:
    """Return whether a number lies within what an ask says is good, or nothing is said."""
    numbers, value = [float(each) for each in _NUMBER.findall(ask.criterion)], float(text)
    if not numbers or ask.criterion.startswith(("deviation", "range", "mean")):
        return True
    if len(numbers) == _BOTH_ENDS:
        return numbers[0] <= value <= numbers[1]
    return value >= numbers[0] if ask.criterion.startswith("at least") else value <= numbers[0]


def middle(ask: Ask) -> str | None:
    """Return the middle of what an ask says is good; None where it says no numbers."""
    text, ends = ask.criterion, _NUMBER.findall(ask.criterion)
    numbers = [float(each) for each in ends]
    if " to " in text and len(numbers) == _BOTH_ENDS:
        wanted = (numbers[0] + numbers[1]) / 2.0
    elif text.startswith("at least") and numbers:
        wanted = 1.2 * numbers[0]
    elif text.startswith("at most") and numbers:
        wanted = 0.5 * numbers[0]
    else:
        return None
    return f"{wanted:.{len(ends[0].partition('.')[2])}f}"


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
