"""Tables of settings, read in the controller cell by cell, in any number of pieces."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.job.closeness import allowed, shown, value_of
from commission.job.judge import Check, check
from commission.job.kinds.valued import ask

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.job.ask import Ask
    from commission.job.kinds.handler import Look
    from commission.job.state import Given, Parts
    from commission.procedure.expression import Value
    from commission.procedure.model import Setting


def read(parts: Parts, start: str = "") -> dict[str, Given]:
    """Return every cell given in the pieces whose names begin with `start`, the last one counts."""
    return {
        name: given
        for part, cells in parts.items()
        if part.startswith(start)
        for name, given in cells.items()
    }


def unread(names: Iterable[str], parts: Parts, start: str = "") -> tuple[str, ...]:
    """Return the settings among `names` that no such piece gives yet, in order."""
    have = read(parts, start)
    return tuple(name for name in names if name not in have)


def asked(look: Look, part: str, names: Sequence[str], start: str = "") -> tuple[str, ...]:
    """Return the settings that `part` is about: its own where it was given, else those unread."""
    if part in look.parts:
        return tuple(name for name in names if name in look.parts[part])
    return unread(names, look.parts, start)


def next_piece(look: Look, names: Sequence[str], start: str) -> str:
    """Return the name of the next piece of a table: `cells-3`; the last one where all is read."""
    count = sum(1 for part in look.parts if part.startswith(start))
    return f"{start}{count + 1 if unread(names, look.parts, start) or not count else count}"


def cell(look: Look, name: str, criterion: str = "") -> Ask:
    """Return the ask for one setting; what it ought to be is never offered, it is to be read."""
    return replace(
        ask(look.state.plan.settings[name], name, criterion=criterion), probe=f"setting:{name}"
    )


def check_same(
    setting: Setting,
    wanted: Given,
    got: Given,
    values: Mapping[str, Value],
    because: str,
    **more: object,
) -> Check:
    """Return the check of a value read against the one it is to be, by the declared closeness."""
    one = None if wanted is None else value_of(wanted)
    within = 0.0 if one is None else allowed(setting, one, values)
    record: dict[str, object] = {
        "check": "equal", "of": setting.id, "got": value_of(got), "wanted": one, "within": within,
        "shown": [shown(got), shown(wanted)], **more,
    }  # fmt: skip
    if setting.circular:
        record["circular"] = True
    return check(record, because)
