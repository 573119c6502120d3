"""How sure a reading is, from the accuracy its instrument's maker states.

A specification ±(p % of reading + n counts) is read as the half-width a of a rectangular
distribution: standard uncertainty u = a/√3 (GUM, JCGM 100:2008, 4.3.7), expanded uncertainty
U = 2 u. Nothing else goes in: what the wiring, the contact or the person adds is not covered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.procedure.expression import Number, parse
from commission.quantities import unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.procedure.model import Equipment
    from commission.quantities import Reading

COVERAGE: Final = 2.0
"""The coverage factor k: about 95 % for a normal distribution."""


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """The expanded uncertainty of one reading in SI, and what it came from."""

    expanded: float
    source: Mapping[str, Any]


def expanded(half_width: float) -> float:
    """Return U = 2 a/√3 for a specification of ± `half_width`."""
    return COVERAGE * half_width / math.sqrt(3)


def uncertainty(
    reading: Reading, equipment: Equipment | None, cited: Mapping[str, Any] | None = None
) -> Uncertainty | None:
    """Return the reading's expanded uncertainty; None where no accuracy is stated.

    What the instrument that was read states of itself (`job.instrument`) goes before what the
    procedure asks of such a one; `source` says which it is. The percentage is of the number
    displayed, so of degrees Celsius and not of kelvin.
    """
    if cited is not None and cited["range"] is not None:
        return _of_instrument(reading, cited)
    if equipment is None or not equipment.has_accuracy:
        return None
    shown = unit(reading.unit)
    count = _count(reading, equipment)
    of_reading = (equipment.percent or 0.0) / 100 * abs(reading.number) * shown.factor
    half_width = of_reading + (equipment.counts or 0.0) * count
    source = {
        "stated_by": "procedure",
        "instrument": equipment.id,
        "percent": equipment.percent,
        "counts": equipment.counts,
        "count": count,
        "coverage": COVERAGE,
    }
    return Uncertainty(expanded(half_width), source)


def _of_instrument(reading: Reading, cited: Mapping[str, Any]) -> Uncertainty:
    of_reading = cited["percent"] / 100 * abs(reading.number) * unit(reading.unit).factor
    half_width = of_reading + cited["counts"] * cited["count"]
    source = {
        "stated_by": "register",
        "instrument": cited["id"],
        "serial": cited["serial"],
        "range": cited["range"],
        "percent": cited["percent"],
        "counts": cited["counts"],
        "count": cited["count"],
        "coverage": COVERAGE,
    }
    return Uncertainty(expanded(half_width), source)


def _count(reading: Reading, equipment: Equipment) -> float:
    """Return one count in SI: as stated where that fits the reading, else the last digit typed."""
    typed = unit(reading.unit)
    if equipment.resolution is not None:
        stated = parse(equipment.resolution)
        kind = stated.type_in({})
        value = stated.evaluate({})
        fits = isinstance(kind, Number) and kind.dimension == typed.dimension and not kind.point
        if fits and isinstance(value, float | int):
            return abs(float(value))
    return reading.resolution * typed.factor
