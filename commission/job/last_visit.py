"""This bike's settings as left on its last visit against as found now, differences first. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from commission.job.closeness import is_same, shown
from commission.job.values import values

if TYPE_CHECKING:
    from commission.job.state import Given, JobState, SettingState


class Since(StrEnum):
    """How a setting stands against the last visit; the value is the word people see."""

    DIFFERS = "DIFFERS"
    SAME = "same"
    NOT_READ = "not read yet"
    NOT_KNOWN = "not known then"


_ORDER = tuple(Since)


@dataclass(frozen=True, slots=True)
class SinceLine:
    """One setting, as people read it; a text is empty where there is no value."""

    setting: str
    label: str
    left: str
    """As left on the last visit: read after its last power cycle, else as last read at all."""
    found: str
    """As found now."""
    since: Since


def since_last_visit(then: JobState, now: JobState) -> tuple[SinceLine, ...]:
    """Return a line for each setting of the present job, those that differ first.

    Settings of two procedures are the same where their ids are. Closeness is as the present
    procedure declares it.
    """
    known = values(now)
    lines = []
    for name, setting in now.plan.settings.items():
        left, stands = left_of(then.settings.get(name)), now.settings.get(name)
        found = None if stands is None or stands.found is None else stands.found.given
        if left is None:
            since = Since.NOT_KNOWN
        elif found is None:
            since = Since.NOT_READ
        else:
            same = _comparable(left, found) and is_same(setting, left, found, known)
            since = Since.SAME if same else Since.DIFFERS
        texts = ("" if left is None else shown(left), "" if found is None else shown(found))
        lines.append(SinceLine(name, setting.label, *texts, since))
    return tuple(sorted(lines, key=lambda line: _ORDER.index(line.since)))


def left_of(stands: SettingState | None) -> Given:
    """Return how a setting was left by a job: the last value read of it, or None."""
    if stands is None:
        return None
    if stands.left:
        return stands.left[-1].given
    last = stands.written or stands.found
    return None if last is None else last.given


def summary(lines: tuple[SinceLine, ...]) -> str:
    """Return how many settings differ, in a sentence, and which."""
    differ = [line for line in lines if line.since is Since.DIFFERS]
    same = sum(line.since is Since.SAME for line in lines)
    unread = sum(line.since is Since.NOT_READ for line in lines)
    if not differ and not same:
        known = "1 setting known from then is" if unread == 1 else f"{unread} known from then are"
        return f"{known} not read yet." if unread else ""
    counts = [f"{same} as left"] if same else []
    counts += [f"{unread} not read yet"] if unread else []
    if not differ:
        return f"{', '.join(counts)}."
    named = "; ".join(f"{one.label}: left {one.left}, found {one.found}" for one in differ[:3])
    more = f"; and {len(differ) - 3} more" if len(differ) > 3 else ""  # noqa: PLR2004  as named
    verb = "differs" if len(differ) == 1 else "differ"
    return f"{', '.join([f'{len(differ)} {verb}', *counts])}. {named}{more}."


def _comparable(one: Given, other: Given) -> bool:
    """Whether two givens are of one kind and unit dimension: a setting may change its type."""
    from commission.errors import QuantityError
    from commission.quantities import unit

    if isinstance(one, dict) and isinstance(other, dict):
        try:
            return unit(str(one["unit"])).dimension == unit(str(other["unit"])).dimension
        except QuantityError:
            return False
    return type(one) is type(other)
