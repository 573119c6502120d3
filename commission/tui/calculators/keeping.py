"""From a worksheet to the values that are kept, and back; what does not fit any more is dropped."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from commission.calculators.entry import Entry
from commission.calculators.unit_choices import choices
from commission.calculators.worksheet import new
from commission.record.last_used import LastUsed, Typed
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.calculators.base import Calculator
    from commission.calculators.worksheet import Worksheet


def kept_of(sheet: Worksheet) -> LastUsed:
    """Return what is kept of a worksheet: what was typed, and all units; nothing that is wanted."""
    inputs = {
        name: Typed(entry.source.text, entry.source.unit, entry.unit)
        for name, entry in sheet.entries.items()
    }
    return LastUsed(inputs, dict(sheet.units))


def restored(calculator: Calculator, kept: LastUsed) -> Worksheet:
    """Return the worksheet as it was kept; units that are no longer offered give way to declared.

    A declaration may have changed since, and the file may say anything: texts stay what was typed,
    to be refused beside their field, and of alternatives the first given group holds.
    """
    sheet = new(calculator)
    entries = dict(sheet.entries)
    for declared in calculator.inputs:
        typed = kept.inputs.get(declared.name)
        if typed is None:
            continue
        offered = choices(declared.unit)
        was = typed.unit if typed.unit in offered else declared.unit
        shown = typed.shown_in if typed.shown_in in offered else was
        entry = Entry(safe_text(typed.text), was)
        many = declared.kind == "numbers"
        entries[declared.name] = entry if shown == was else entry.in_unit(shown, many=many)
    for name in [name for name, entry in entries.items() if not entry.is_empty]:
        if not entries[name].is_empty:
            for rival in sheet.rivals(name):
                entries[rival] = Entry("", entries[rival].unit)
    units = {
        each.name: kept.units[each.name]
        for each in calculator.outputs
        if kept.units.get(each.name) in choices(each.unit)
    }
    return replace(sheet, entries=entries, units={**sheet.units, **units})
