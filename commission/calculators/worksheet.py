"""A calculator with what stands in its fields: every change gives another worksheet. Pure.

Rules:
1. Alternatives exclude each other: typing into one empties the others.
2. A wanted output turns the calculation round: one input is solved for and stands in for what was
   typed there: the one a person chose, else the first that gives one usual answer, empty ones
   first, else of those that give an unusual one the one typed into last.
3. Units belong to fields; changing one changes no value (see `entry`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from commission.calculators.entry import Entry
from commission.calculators.unit_choices import choices, following
from commission.quantities import plain_number, unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Calculator, Input, Output

SOLVABLE: Final = frozenset({"number", "integer"})
_NOTHING: Final = Entry("", "")
_TAKEN_DIGITS: Final = 6
"""Digits of a solved value that is taken into its field."""


@dataclass(frozen=True, slots=True, eq=False)
class Worksheet:
    """What stands in the fields of one calculator."""

    calculator: Calculator
    entries: Mapping[str, Entry]
    """Of every input; those typed into come last, in that order."""
    units: Mapping[str, str]
    """In which unit each output is shown."""
    wanted: str = ""
    """The output that a value was typed for; empty: the calculation goes forward."""
    wanted_entry: Entry = _NOTHING
    """What was typed for it."""
    over: str = ""
    """The input that a person chose to solve for; empty: the first that works."""

    def with_text(self, name: str, text: str) -> Worksheet:
        """Return it with a text typed into an input."""
        entries = {each: entry for each, entry in self.entries.items() if each != name}
        entries[name] = Entry(text, self.entries[name].unit)
        if text.strip():
            for other in self.rivals(name):
                entries[other] = Entry("", entries[other].unit)
        return replace(self, entries=entries)

    def with_own_unit(self, name: str) -> Worksheet:
        """Return it with a unit typed behind a number made the unit of its field."""
        declared = self.calculator.input(name)
        if declared.kind not in SOLVABLE:
            return self
        entry = self.entries[name].with_own_unit(choices(declared.unit))
        return replace(self, entries={**self.entries, name: entry})

    def with_next_unit(self, name: str) -> Worksheet:
        """Return it with the field of this name in its next unit, or a choice on its next text."""
        if name in self.units:
            output = self.calculator.output(name)
            to = following(output.unit, self.units[name])
            asked = self.wanted_entry.in_unit(to) if name == self.wanted else self.wanted_entry
            return replace(self, units={**self.units, name: to}, wanted_entry=asked)
        declared, entry = self.calculator.input(name), self.entries[name]
        if declared.kind == "choice":
            return self.with_text(name, _following_choice(declared, entry.text))
        to = following(declared.unit, entry.unit)
        changed = entry.in_unit(to, many=declared.kind == "numbers")
        return replace(self, entries={**self.entries, name: changed})

    def with_wanted(self, output: str, text: str) -> Worksheet:
        """Return it asking for a value of an output; an empty text goes forward again."""
        if not text.strip():
            return replace(self, wanted="", wanted_entry=_NOTHING, over="")
        over = self.over if output == self.wanted else ""
        asked = Entry(text, self.units[output])
        return replace(self, wanted=output, wanted_entry=asked, over=over)

    def with_next_over(self, now: str) -> Worksheet:
        """Return it solving for the input after `now`."""
        names = self.solvable()
        if not names:
            return self
        at = names.index(now) + 1 if now in names else 0
        return replace(self, over=names[at % len(names)])

    def with_taken(self, name: str, si: float) -> Worksheet:
        """Return it with a solved value typed into its field, going forward again."""
        declared = self.calculator.input(name)
        to = self.entries[name].unit
        number = unit(to).from_si(si)
        digits = 0 if declared.kind == "integer" else _TAKEN_DIGITS
        text = f"{number:.0f}" if not digits else plain_number(number, _TAKEN_DIGITS)
        return replace(self.with_text(name, text), wanted="", wanted_entry=_NOTHING, over="")

    def wanted_of(self, output: str) -> str:
        """Return the text typed for an output; empty where another one, or none, is asked for."""
        return self.wanted_entry.text if output == self.wanted else ""

    def with_example(self) -> Worksheet:
        """Return it with the worked example in its fields."""
        fresh = new(self.calculator)
        for name, text in self.calculator.example.inputs.items():
            fresh = fresh.with_text(name, text).with_own_unit(name)
        return fresh

    def rivals(self, name: str) -> tuple[str, ...]:
        """Return the inputs that cannot be given together with this one."""
        own = {each for group in self.calculator.one_of if name in group for each in group}
        every = [each for group in self.calculator.one_of for each in group]
        return tuple(each for each in every if each not in own) if own else ()

    def solvable(self) -> tuple[str, ...]:
        """Return the inputs that can be solved for: empty ones that are needed first."""
        numeric = [each for each in self.calculator.inputs if each.kind in SOLVABLE]
        needed = [each.name for each in numeric if self._is_wanting(each)]
        rest = [
            each.name for each in numeric if each.name not in needed and not self._is_idle(each)
        ]
        idle = [each.name for each in numeric if each.name not in {*needed, *rest}]
        return (*needed, *rest, *idle)

    def _is_wanting(self, declared: Input) -> bool:
        return (
            self.entries[declared.name].is_empty
            and declared.default is None
            and not declared.optional
        )

    def _is_idle(self, declared: Input) -> bool:
        """Whether it stands on a default or may stay empty, so that nobody thinks of it."""
        return self.entries[declared.name].is_empty and not self._is_wanting(declared)


def new(calculator: Calculator) -> Worksheet:
    """Return the empty worksheet, everything in declared units."""
    return Worksheet(
        calculator,
        {each.name: Entry("", each.unit) for each in calculator.inputs},
        {each.name: each.unit for each in calculator.outputs},
    )


def can_be_wanted(output: Output) -> bool:
    """Whether a value can be asked for: it is a number."""
    return output.kind in SOLVABLE


def _following_choice(declared: Input, text: str) -> str:
    now = text.strip() or str(declared.default or "")
    every = declared.choices
    return every[(every.index(now) + 1) % len(every)] if now in every else every[0]
