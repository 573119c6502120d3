"""Persistence: which setting was read as written after which power cycle."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from commission.job.closeness import is_same, shown
from commission.job.cycling import cycle_of
from commission.job.values import values
from commission.report.document import Column, Figure, Table
from commission.report.drawing import Box, Drawing, Shape, Stroke, Words, short

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from commission.job.entry import Entry
    from commission.job.plan import Plan
    from commission.job.state import Given
    from commission.report.subject import Subject

WIDTH: Final = 505.0
_NAMES: Final = 215.0
_ROW: Final = 12.5
_TOP: Final = 30.0
_MOST_STEP: Final = 62.0
_SMALL: Final = 6.5
_LETTER: Final = 0.62 * _SMALL
"""How wide a letter is, on average, in the words beside a mark."""
_WORDS: Final = {True: "as before", False: "CHANGED"}


@dataclass
class _Cycle:
    """What was read after one power cycle, and whether it was as before."""

    name: str
    step: str
    attempt: int
    number: int
    read: dict[str, tuple[Given, bool]] = field(default_factory=dict)


def figure(subject: Subject) -> Figure | None:
    """Return setting by cycle; None where no power cycle was read back.

    A mark says whether the setting was read as last written (or found, where it was not written).
    """
    cycles = _cycles(subject)
    settings = [
        setting for name, setting in subject.state.plan.settings.items()
        if any(name in cycle.read for cycle in cycles)
    ]  # fmt: skip
    if not settings:
        return None
    step = min(_MOST_STEP, (WIDTH - _NAMES) / len(cycles))
    shapes = [*_heads(cycles, step)]
    rows = []
    for place, setting in enumerate(settings):
        y = _TOP + _ROW * place
        shapes.append(Words((_NAMES - 8.0, y + 8.5), short(setting.label, 44), 8.0, "end"))
        for column, cycle in enumerate(cycles):
            shapes += _mark(cycle, setting.id, _NAMES + step * column + step / 2, y, step)
        rows.append((setting.label, *(_word(cycle, setting.id) for cycle in cycles)))
    height = _TOP + _ROW * len(settings) + 22.0
    shapes += _key(height - 6.0)
    columns = (Column("setting", "setting"),
               *(Column(f"cycle_{at}", one.name) for at, one in enumerate(cycles, 1)))  # fmt: skip
    drawing = Drawing(WIDTH, height, tuple(shapes))
    points = Table("persistence", columns, tuple(rows))
    return Figure("Persistence: setting by power cycle", drawing, _said(cycles), points)


def changed(subject: Subject) -> frozenset[str]:
    """Return the settings that some power cycle did not leave as they were written or found."""
    return frozenset(
        name for cycle in _cycles(subject) for name, (_, same) in cycle.read.items() if not same
    )


def _cycles(subject: Subject) -> list[_Cycle]:
    plan, known = subject.state.plan, values(subject.state)
    before: dict[str, Given] = {}
    cycles: dict[tuple[str, int, int], _Cycle] = {}

    def take(entry: Entry, part: str, given: Mapping[str, Given]) -> None:
        key = (str(entry.step), entry.attempt, cycle_of(part))
        cycle = cycles.setdefault(key, _Cycle(_name(plan, *key), *key))
        for name, got in given.items():
            wanted = before.setdefault(name, got)
            same = is_same(plan.settings[name], wanted, got, known)
            cycle.read[name] = (got, same)

    for entry in subject.entries:
        step = entry.step or ""
        kind = plan.planned(step).kind if step in plan.index else ""
        if kind not in ("power_cycle", "write", "read_back"):
            continue
        for part, given in _pieces(entry):
            if kind == "power_cycle" and ":read-" in part:
                take(entry, part, given)
            elif kind != "power_cycle":
                news = given if kind == "write" else {
                    name: got for name, got in given.items() if name not in before
                }  # fmt: skip
                before.update(news)
    return list(cycles.values())


def _pieces(entry: Entry) -> Iterator[tuple[str, Mapping[str, Given]]]:
    if entry.kind == "part":
        yield str(entry.body["part"]), entry.body["given"]
    elif entry.kind in ("answered", "corrected"):
        yield from entry.body.get("parts", {}).items()


def _name(plan: Plan, step: str, attempt: int, number: int) -> str:
    cycle = getattr(plan.planned(step).step, "cycle", "")
    again = f", try {attempt}" if attempt > 1 else ""
    return f"{cycle} {number}{again}"


def _heads(cycles: Sequence[_Cycle], step: float) -> Iterator[Shape]:
    for place, cycle in enumerate(cycles):
        x = _NAMES + step * place + step / 2
        kind, _, again = cycle.name.partition(", ")
        yield Words((x, 14.0), kind, 8.0, "middle", bold=True)
        if again:
            yield Words((x, 25.0), again, 7.5, "middle", "muted")


def _mark(cycle: _Cycle, setting: str, x: float, y: float, step: float) -> Iterator[Shape]:
    if setting not in cycle.read:
        yield Words((x, y + 8.5), "·", 9.0, "middle", "muted")
        return
    got, same = cycle.read[setting]
    if same:
        yield Box((x - 4.0, y + 1.5), 8.0, 8.0, fill="good", ink=None)
        return
    yield Box((x - 4.0, y + 1.5), 8.0, 8.0, fill="paper", ink="bad", line=1.2)
    yield Stroke(((x - 4.0, y + 1.5), (x + 4.0, y + 9.5)), ink="bad", width=1.2)
    yield Stroke(((x - 4.0, y + 9.5), (x + 4.0, y + 1.5)), ink="bad", width=1.2)
    room = int((step - 16.0) / _LETTER)
    if room > 1:
        yield Words((x + 7.0, y + 8.5), short(shown(got), room), _SMALL, ink="bad")


def _key(y: float) -> Iterator[Shape]:
    yield Box((_NAMES, y - 7.0), 8.0, 8.0, fill="good", ink=None)
    yield Words((_NAMES + 12.0, y), "read as written", 8.0, ink="muted")
    x = _NAMES + 90.0
    yield Box((x, y - 7.0), 8.0, 8.0, fill="paper", ink="bad", line=1.2)
    yield Stroke(((x, y - 7.0), (x + 8.0, y + 1.0)), ink="bad", width=1.2)
    yield Stroke(((x, y + 1.0), (x + 8.0, y - 7.0)), ink="bad", width=1.2)
    yield Words((x + 12.0, y), "changed, with what was read", 8.0, ink="muted")
    yield Words((x + 140.0, y), "·  not read", 8.0, ink="muted")


def _word(cycle: _Cycle, setting: str) -> str:
    if setting not in cycle.read:
        return "not read"
    got, same = cycle.read[setting]
    return f"{_WORDS[same]}: {shown(got)}"


def _said(cycles: Sequence[_Cycle]) -> str:
    told = []
    for cycle in cycles:
        changed = sum(not same for _, same in cycle.read.values())
        told.append(f"{cycle.name}: {len(cycle.read)} read, {changed or 'none'} changed")
    return "; ".join(told) + "."
