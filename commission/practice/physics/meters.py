"""What an instrument shows of a truth, as the text that a person would type.

A maker promises ±(percent of reading + counts). A sound instrument has its own fixed place within
the percent, and wanders within the counts; the text is rounded to its last digit.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.quantities import unit

if TYPE_CHECKING:
    from random import Random

    from commission.practice.build import Meter

DIGITS: Final = 4
"""Significant digits of an instrument whose resolution follows the reading."""
OVERLOAD: Final = 1e9
"""An open circuit shows as this number of ohm: typed texts know no infinity."""


def reading(meter: Meter, truth: float, unit_text: str, random: Random) -> str:
    """Return the text shown for `truth` in SI, as a number of the unit `unit_text`.

    Raises:
        QuantityError: `unit_text` is no unit.
    """
    asked = unit(unit_text)
    number = 0.0 if meter.dead else asked.from_si(min(truth, OVERLOAD))
    count = _count(meter, number, asked.factor)
    wander = max(0.0, meter.counts - 0.5) * count
    shown = number * (1.0 + meter.gain * meter.percent / 100.0)
    shown += 0.0 if meter.dead else random.uniform(-wander, wander)
    return _text(shown, count)


def _count(meter: Meter, number: float, factor: float) -> float:
    """Return the value of one count in the unit asked for."""
    if meter.resolution > 0.0:
        return meter.resolution / factor
    size = math.floor(math.log10(max(abs(number), 1.0)))
    return 10.0 ** (size + 1 - DIGITS)


def _text(number: float, count: float) -> str:
    decimals = max(0, -math.floor(math.log10(count) + 1e-9))
    rounded = round(number / count) * count
    text = f"{rounded:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text
