"""The rows of a settings table: what each setting was, is to be and was read as. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.errors import QuantityError
from commission.job.closeness import is_same, shown
from commission.job.judge_limits import number
from commission.job.ledger import intended_now
from commission.job.values import values
from commission.procedure.expression import UnknownValueError
from commission.quantities import parse_reading, unit
from commission.tui.job.scale import Bounds

if TYPE_CHECKING:
    from commission.job.ask import Ask, Asking
    from commission.job.state import Given, JobState
    from commission.procedure.model import Setting

COLUMNS: Final = {
    "read_back": ("intended", "as found"),
    "write": ("found", "intended", "as written"),
    "power_cycle": ("intended", "before", "as left"),
}
"""What stands beside a setting, by kind of step; the last column is what is given here."""
_NONE: Final = "-"
_REVERTED: Final = "REVERTED"


@dataclass(frozen=True, slots=True)
class CellRow:
    """One setting in the table, and what typing into it means."""

    ask: Ask
    values: tuple[str, ...]
    """What `COLUMNS` names, in its order."""
    sign: str
    """`+` given and as wanted, `!` given and other than wanted, `·` still open."""
    is_open: bool
    part: str
    """The piece in which it was given; empty where it is open."""
    bounds: Bounds
    setting: Setting
    wanted: Given
    """What it is compared with; None where with nothing."""
    against: str
    """What `wanted` is, in words."""
    state: JobState

    def compare(self, text: str) -> str:
        """Return how `text` compares with what is wanted, in words."""
        given = as_given(self.ask, text)
        if self.wanted is None or given is None:
            return ""
        if is_same(self.setting, self.wanted, given, values(self.state)):
            return f", {self.against}"
        return f", OTHER THAN {self.against}: {shown(self.wanted)}"


def cell_rows(state: JobState, asking: Asking, kind: str) -> tuple[CellRow, ...]:
    """Return the rows of the pieces that `asking` belongs to, in the procedure's order."""
    prefix = re.sub(r"\d+$", "", asking.part)
    given: dict[str, tuple[str, Given]] = {}
    for part, cells in state.steps[asking.step].parts.items():
        if part.startswith(prefix):
            given.update({name: (part, cell) for name, cell in cells.items()})
    asks = {ask.name: ask for ask in asking.asks}
    rows = []
    for setting in state.plan.procedure.settings:
        if setting.id in asks or setting.id in given:
            ask = asks.get(setting.id) or _ask(setting)
            rows.append(_row(state, ask, setting, given.get(setting.id), kind))
    return tuple(rows)


def _row(
    state: JobState, ask: Ask, setting: Setting, given: tuple[str, Given] | None, kind: str
) -> CellRow:
    stands = state.settings.get(setting.id)
    found = stands.found.given if stands is not None and stands.found is not None else None
    written = stands.written.given if stands is not None and stands.written is not None else None
    intended = None if setting.intended is None else intended_now(state, setting)
    if kind == "power_cycle":
        wanted, against = (written, "as written") if written is not None else (found, "as found")
    elif kind == "write":
        wanted, against = intended, "as intended"
    else:
        wanted, against = None, ""
    now = None if given is None else given[1]
    known_now = values(state)
    good = wanted is None or now is None or is_same(setting, wanted, now, known_now)
    known = {"read_back": (intended,), "write": (found, intended)}
    # Before a cycle a setting is as it was written, or as it was found where nobody wrote it.
    beside = known.get(kind, (intended, wanted))
    words = tuple(_NONE if one is None else shown(one) for one in beside)
    last = _NONE
    if now is not None:
        word = _word(kind, good=good) if wanted is not None else ""
        if word == _REVERTED and (found is None or not is_same(setting, found, now, known_now)):
            word = "DRIFTED"
        last = f"{shown(now)} {word}".rstrip()
    return CellRow(
        ask=ask,
        values=(*words, last),
        sign="·" if now is None else ("+" if good else "!"),
        is_open=given is None,
        part="" if given is None else given[0],
        bounds=_range(state, setting),
        setting=setting,
        wanted=wanted,
        against=against,
        state=state,
    )


def _word(kind: str, *, good: bool) -> str:
    words = {"power_cycle": ("held", _REVERTED), "write": ("took", "DID NOT TAKE")}
    return words[kind][0 if good else 1]


def _ask(setting: Setting) -> Ask:
    from commission.job.ask import Ask

    return Ask(setting.id, setting.label, setting.type, setting.unit or "", setting.choices)


def _range(state: JobState, setting: Setting) -> Bounds:
    if setting.range is None:
        return Bounds(None, None)
    known = values(state)
    try:
        low, high = (number(side, known) for side in setting.range)
    except (UnknownValueError, TypeError):
        return Bounds(None, None)
    if low is None or high is None:
        return Bounds(None, None)
    return Bounds(low, high, labels=(_end(low, setting), _end(high, setting)))


def _end(si: float, setting: Setting) -> str:
    """Return an end of a plausible range as it was meant: `40`, `0.5 mΩ`."""
    own = unit(setting.unit or "")
    return f"{own.from_si(si):.6g} {own.text}".strip()


def as_given(ask: Ask, text: str) -> Given:
    """Return a text as a record would keep it, or None where it is not understood."""
    match ask.type:
        case "quantity" | "integer":
            try:
                reading = parse_reading(text, ask.unit)
            except QuantityError:
                return None
            return {"typed": reading.typed, "unit": reading.unit}
        case "yes_no":
            return {"yes": True, "no": False}.get(text)
        case _:
            return text or None
