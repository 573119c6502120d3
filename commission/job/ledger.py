"""The settings ledger: each setting's way through the job, and how it fared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.errors import CommissionError
from commission.job.closeness import given_of, is_same, shown
from commission.job.state import Fate, SettingState
from commission.job.values import values
from commission.procedure.expression import ExpressionError, UnknownValueError, with_choices
from commission.procedure.model import Calculate

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.job.state import Given, Held, JobState
    from commission.procedure.expression import Value
    from commission.procedure.model import Setting


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One setting, as people read it; a text is empty where there is no value (yet)."""

    setting: str
    label: str
    unit: str
    found: str
    intended: str
    """What it was to be when it was last written; before that, what it is to be now."""
    computed_from: str
    """What the intended value follows from; empty where it is fixed or left as found."""
    written: str
    left: tuple[str, ...]
    """As read after each power cycle since it was last written (or found)."""
    fate: Fate
    earlier: tuple[str, ...] = ()
    """As left before it was last written: the story of a setting that reverted."""
    due: str = ""
    """What it is to be now, where that is no longer what it was written to be."""


def ledger(state: JobState) -> tuple[LedgerLine, ...]:
    """Return a line for every setting of the procedure, in its order."""
    known = values(state)
    return tuple(_line(state, setting, known) for setting in state.plan.settings.values())


def fate(setting: Setting, stands: SettingState, known: Mapping[str, Value]) -> Fate:
    """Return how a setting fared, by its declared closeness.

    1. never read: not read yet; never written: as found, or drifted where it was left otherwise.
    2. written but read back as something else than intended: did not take.
    3. not power-cycled since: written, not proved.
    4. left each time as written: held. Else the first difference decides: back at what it was
       before it was written is reverted, anything else is drifted.
    """
    if stands.written is None:
        return _unwritten(setting, stands, known)
    wanted = stands.intended
    if wanted is not None and not is_same(setting, wanted, stands.written.given, known):
        return Fate.DID_NOT_TAKE
    if not stands.left:
        return Fate.WRITTEN
    for left in stands.left:
        if not is_same(setting, stands.written.given, left.given, known):
            return _changed(setting, stands, left, known)
    return Fate.HELD


def intended_now(state: JobState, setting: Setting) -> Given:
    """Return what a setting is to be by what is known now; None where that is not known yet.

    A setting without an intended value is to stay as found.
    """
    if setting.intended is None:
        stands = state.settings.get(setting.id)
        return None if stands is None or stands.found is None else stands.found.given
    try:
        value = with_choices(setting.intended, setting.choices).evaluate(values(state))
    except (UnknownValueError, ExpressionError):
        return None
    return given_of(value, setting.unit or "")


def computed_from(state: JobState, setting: Setting) -> str:
    """Return what the intended value follows from: its expression, and the calculators behind it.

    Empty where it rests on no name: a fixed value, or left as found.
    """
    if setting.intended is None:
        return ""
    names = with_choices(setting.intended, setting.choices).names
    if not names:
        return ""
    return ", ".join([str(setting.intended), *_calculators(state, sorted(names))])


def _calculators(state: JobState, names: list[str]) -> Iterator[str]:
    said = set()
    for name in names:
        root = name.partition(".")[0]
        if root not in state.plan.index or root in said:
            continue
        said.add(root)
        step = state.plan.planned(root).step
        if isinstance(step, Calculate):
            yield f"by {step.calculator} in “{step.title}”"


def _line(state: JobState, setting: Setting, known: Mapping[str, Value]) -> LedgerLine:
    stands = state.settings.get(setting.id, SettingState())
    now = intended_now(state, setting)
    recorded = stands.intended if stands.written is not None else None
    moved = recorded is not None and now is not None and not is_same(setting, now, recorded, known)
    return LedgerLine(
        setting=setting.id,
        label=setting.label,
        unit=setting.unit or "",
        found=_read(stands.found),
        intended=_text(now if recorded is None else recorded),
        computed_from=computed_from(state, setting),
        written=_read(stands.written),
        left=tuple(_read(one) for one in stands.left),
        fate=_fate_or_unknown(setting, stands, known),
        earlier=tuple(_read(one) for one in stands.earlier),
        due=_text(now) if moved else "",
    )


def _fate_or_unknown(setting: Setting, stands: SettingState, known: Mapping[str, Value]) -> Fate:
    try:
        return fate(setting, stands, known)
    except CommissionError:  # a closeness without a value now: nothing can be said
        return Fate.UNKNOWN


def _unwritten(setting: Setting, stands: SettingState, known: Mapping[str, Value]) -> Fate:
    if stands.found is None:
        return Fate.UNKNOWN
    for left in stands.left:
        if not is_same(setting, stands.found.given, left.given, known):
            return Fate.DRIFTED
    return Fate.AS_FOUND


def _changed(
    setting: Setting, stands: SettingState, left: Held, known: Mapping[str, Value]
) -> Fate:
    before = [stands.found, *stands.earlier]
    was_so = any(
        one is not None and is_same(setting, one.given, left.given, known) for one in before
    )
    return Fate.REVERTED if was_so else Fate.DRIFTED


def _read(held: Held | None) -> str:
    return "" if held is None else shown(held.given)


def _text(given: Given) -> str:
    return "" if given is None else shown(given)
