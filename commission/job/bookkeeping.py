"""What the pieces of an answer say of the settings: found, written, left.

The first reading is as found and stays so: only a correction, with its reason, replaces it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.cycling import cycle_of
from commission.job.quickly import quickly
from commission.job.state import Held, SettingState

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.job.state import Answer, Given
    from commission.job.working import Working

_NOTHING: Final = SettingState()
_setting: Final = quickly(SettingState)
_held: Final = quickly(Held)


def keep(job: Working, planned: PlannedStep, entry: Entry) -> None:
    """Enter one piece of a read-back, a write or a power cycle; other kinds hold no settings."""
    body, kind = entry.body, planned.kind
    if kind == "read_back":
        for name, given in body["given"].items():
            _found(job, name, _held(given, entry.seq, planned.id), body.get("replaces"))
    elif kind == "write":
        intended = body.get("intended", {})
        for name, given in body["given"].items():
            held = _held(given, entry.seq, planned.id)
            _written(job, name, held, intended.get(name), body.get("replaces"))
    elif kind == "power_cycle" and ":read-" in body["part"]:
        cycle = cycle_of(body["part"])
        for name, given in body["given"].items():
            held = _held(given, entry.seq, planned.id, cycle)
            _left(job, name, held, body.get("replaces"))


def correct(job: Working, planned: PlannedStep, old: Answer, new: Answer, entry: Entry) -> None:
    """Enter the corrected cells of a concluded read-back, write or power cycle."""
    kind = planned.kind
    if kind not in ("read_back", "write", "power_cycle"):
        return
    intended = entry.body.get("intended", {})
    for part, cells in new.parts.items():
        if kind == "power_cycle" and ":read-" not in part:
            continue
        cycle = cycle_of(part) if kind == "power_cycle" else 0
        before = old.parts.get(part, {})
        for name, given in cells.items():
            if name not in before or given == before[name]:
                continue
            held = _held(given, entry.seq, planned.id, cycle)
            job.settings[name] = _corrected(job.settings[name], kind, held, intended.get(name))


def _found(job: Working, name: str, held: Held, replaces: int | None) -> None:
    stands = job.settings.get(name, _NOTHING)
    if stands.found is None or stands.found.seq == replaces:
        job.settings[name] = _setting(
            held, stands.written, stands.intended, stands.left, stands.earlier
        )


def _written(job: Working, name: str, held: Held, intended: Given, replaces: int | None) -> None:
    stands = job.settings.get(name, _NOTHING)
    if replaces is not None and intended is None:
        intended = stands.intended
    job.settings[name] = _setting(stands.found, held, intended, (), stands.earlier + stands.left)


def _left(job: Working, name: str, held: Held, replaces: int | None) -> None:
    stands = job.settings.get(name, _NOTHING)
    kept = stands.left
    if replaces is not None:
        kept = tuple(one for one in kept if one.seq != replaces)
    job.settings[name] = _setting(
        stands.found, stands.written, stands.intended, (*kept, held), stands.earlier
    )


def _corrected(stands: SettingState, kind: str, held: Held, intended: Given) -> SettingState:
    found, written, left, earlier = stands.found, stands.written, stands.left, stands.earlier
    if kind == "read_back":
        if found is not None and found.step == held.step:
            found = held
    elif kind == "write":
        if written is not None and written.step == held.step:
            written = held
    else:
        left, earlier = _last_replaced(left, held), _last_replaced(earlier, held)
        if left != stands.left:
            earlier = stands.earlier
    return _setting(
        found, written, stands.intended if intended is None else intended, left, earlier
    )


def _last_replaced(readings: tuple[Held, ...], held: Held) -> tuple[Held, ...]:
    """Return the readings with the last one of the same step and cycle replaced."""
    for place in range(len(readings) - 1, -1, -1):
        if readings[place].step == held.step and readings[place].cycle == held.cycle:
            return (*readings[:place], held, *readings[place + 1 :])
    return readings
