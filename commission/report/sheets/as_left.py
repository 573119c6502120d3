"""The settings as the bike left: the last value read, and how far it is proved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.job.closeness import shown
from commission.job.ledger import ledger
from commission.job.state import Fate, SettingState
from commission.report.document import Column, Table
from commission.report.figures import cycles

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.job.ledger import LedgerLine
    from commission.job.state import Given
    from commission.report.subject import Subject

PROVED: Final = frozenset({Fate.HELD, Fate.AS_FOUND})
_YES_NO: Final = {True: "yes", False: "no"}
_COLUMNS: Final = (
    Column("label", "setting", 2.4),
    Column("found", "as found", 1.1),
    Column("left", "as left", 1.2),
    Column("fate", "how it fared", 1.6),
)


@dataclass(frozen=True, slots=True)
class Last:
    """The newest value read of a setting."""

    typed: str
    """The number as typed (`55`), text, yes or no; empty where it was never read."""
    unit: str
    shown: str
    """As people read it: `55 km/h`."""


def last_of(stands: SettingState) -> Last:
    """Return a setting's newest value: as left, else as written, else as found."""
    held = stands.left[-1] if stands.left else stands.written or stands.found
    given: Given = None if held is None else held.given
    if given is None:
        return Last("", "", "not read")
    if isinstance(given, bool):
        return Last(_YES_NO[given], "", shown(given))
    if isinstance(given, str):
        return Last(given, "", given)
    return Last(str(given["typed"]), str(given["unit"]), _as_typed(given))


def _as_typed(given: Mapping[str, str]) -> str:
    """Return number and unit with every digit: what is set again must not be rounded."""
    return f"{given['typed']} {given['unit']}".strip()


def lines(subject: Subject) -> Iterator[tuple[LedgerLine, Last]]:
    """Yield each setting's line in the ledger with its newest value."""
    for line in ledger(subject.state):
        yield line, last_of(subject.state.settings.get(line.setting, SettingState()))


def fate_words(line: LedgerLine, changed: frozenset[str] = frozenset()) -> str:
    """Return how a setting fared: `held in 3 power cycles`, with what is due.

    `changed` are the settings that some power cycle had not left alone (`cycles.changed`).
    """
    words = line.fate.value
    if line.fate is Fate.HELD:
        count = len(line.left)
        words = f"held in {count} power cycle{'s' if count > 1 else ''}"
    if line.setting in changed and line.fate is Fate.HELD:
        words += ", after it had not before"
    return f"{words}; to be {line.due} now" if line.due else words


def table(subject: Subject) -> Table:
    """Return every setting as found and as left."""
    rows, loud = [], set()
    changed = cycles.changed(subject)
    for place, (line, last) in enumerate(lines(subject)):
        if line.fate not in PROVED or line.due:
            loud.add(place)
        rows.append((line.label, line.found or "-", last.shown, fate_words(line, changed)))
    return Table("as_left", _COLUMNS, tuple(rows), "No settings.", frozenset(loud))


def data(subject: Subject) -> Table:
    """Return the settings as a list that can be imported again: name, value, unit."""
    rows = tuple(
        (line.setting, last.typed, last.unit) for line, last in lines(subject) if last.typed
    )
    columns = (Column("name", "name"), Column("value", "value"), Column("unit", "unit"))
    return Table("settings", columns, rows)


def unproved(subject: Subject) -> int:
    """Return how many settings are not proved as they are now."""
    return sum(line.fate not in PROVED or bool(line.due) for line, _ in lines(subject))
