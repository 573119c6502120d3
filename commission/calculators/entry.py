"""What stands in one field: a text in a unit, and the reading it stands for.

Rules:
1. What was typed is what is computed with. Shown in another unit it is a conversion that *stands
   for* the typed reading, so going through the units and back gives the typed text again.
2. A conversion shows just the places that tell neighbouring typed values apart (35 km/h is 21.7
   mph, not 21.748), but at least three digits where there are so many.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from commission.calculators.typed import several
from commission.errors import QuantityError
from commission.quantities import Reading, parse_reading, unit

_LEAST_DIGITS: Final = 3
_MOST_DECIMALS: Final = 15


@dataclass(frozen=True, slots=True)
class Entry:
    """A field's text in its unit."""

    text: str
    unit: str
    stands_for: Entry | None = None
    """The reading as it was typed, where `text` is only its conversion."""

    @property
    def source(self) -> Entry:
        """The text and unit that count."""
        return self.stands_for or self

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed."""
        return not self.text.strip()

    def si(self) -> float:
        """Return the one number in SI.

        Raises:
            QuantityError: the text is no number, or its own unit is of another dimension.
        """
        return self.source.reading().si

    def reading(self) -> Reading:
        """Return the text as a reading; raises as `si` does."""
        return parse_reading(self.text, self.unit)

    def several_si(self) -> tuple[float, ...]:
        """Return the numbers in SI, at least one.

        Raises:
            QuantityError: nothing was typed, or one of the texts is no number.
        """
        return tuple(reading.si for reading in several(self.source.text, self.source.unit))

    def in_unit(self, to: str, *, many: bool = False) -> Entry:
        """Return the same value shown in the unit `to`; a text that is no number stays as it is."""
        source = self.source
        if self.is_empty:
            return Entry(self.text, to)
        try:
            readings = (
                several(source.text, source.unit)
                if many
                else (parse_reading(source.text, source.unit),)
            )
            own = readings[0].unit
            shown = " ".join(_converted(each, to) for each in readings)
        except QuantityError:
            return Entry(self.text, to)
        typed = " ".join(each.typed for each in readings)
        if own == to:
            return Entry(typed, to)
        return Entry(shown, to, Entry(typed, own))

    def with_own_unit(self, allowed: tuple[str, ...]) -> Entry:
        """Return `35 mph` as 35 in mph, where that is one of the units `allowed`."""
        try:
            reading = self.reading()
        except QuantityError:
            return self
        return Entry(reading.typed, reading.unit) if reading.unit in allowed else self


def _converted(reading: Reading, to: str) -> str:
    """Return a reading as a number of the unit `to`, with the places rule 2 leaves."""
    if reading.unit == to:
        return reading.typed
    target = unit(to)
    number = target.from_si(reading.si)
    place = reading.resolution * unit(reading.unit).factor / target.factor
    decimals = math.ceil(-math.log10(place) - 1e-9)
    fewest = decimals
    if number:
        fewest = _LEAST_DIGITS - 1 - math.floor(math.log10(abs(number)))
    shown = f"{number:.{min(max(decimals, fewest, 0), _MOST_DECIMALS)}f}"
    return _without_spare_zeros(shown, max(decimals, 0))


def _without_spare_zeros(shown: str, decimals: int) -> str:
    """Drop zeros that stand behind the last place typed; they only filled up to three digits."""
    whole, point, fraction = shown.partition(".")
    while len(fraction) > decimals and fraction.endswith("0"):
        fraction = fraction[:-1]
    shown = f"{whole}{point if fraction else ''}{fraction}"
    return shown.removeprefix("-") if not shown.strip("-0.") else shown
