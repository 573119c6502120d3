"""Numbers with units: the one pint registry, strict parsing, and conversion to plain SI floats.

Everything inside the core computes with SI floats; units exist where people and files are. pint
costs a quarter of a second to load, so it is loaded at the first unit asked for, never at import.

Rules:
1. What a person typed is kept as typed (`Reading.typed`), beside its unit.
2. Parsing never repairs: `3,5` is refused, not read as 35 or 3.5.
3. Temperatures are kelvin inside. `degC` is a point on a scale, `K` a difference or a point.
4. Angles are dimensionless (radians inside), as in SI; `r/min` is an angular speed in rad/s.
"""

from __future__ import annotations

import difflib
import functools
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NewType

from commission.errors import QuantityError

if TYPE_CHECKING:
    import pint

Dimension = NewType("Dimension", tuple[float, ...])
"""Exponents of length, mass, time, current, temperature, luminosity, substance."""

_BASES: Final = (
    "[length]", "[mass]", "[time]", "[current]", "[temperature]", "[luminosity]", "[substance]",
)  # fmt: skip
DIMENSIONLESS: Final = Dimension((0.0,) * 7)

_ALIASES: Final = {
    "": "dimensionless", "1": "dimensionless", "\u03a9": "ohm", "\u2126": "ohm",
    "Nm": "N*m", "Ah": "A*h", "mAh": "mA*h", "r/min": "rpm", "°C": "degC", "°F": "degF",
    "°": "degree", "deg": "degree", "mph": "mile/hour", "V/cell": "V", "cells": "dimensionless",
    "pairs": "dimensionless", "teeth": "dimensionless", "mΩ": "mohm", "kΩ": "kohm", "MΩ": "Mohm",
    "Wh/km": "W*h/km", "Wh": "W*h", "kWh": "kW*h", "A2s": "A**2*s", "mm2": "mm**2", "in": "inch",
    "A_rms": "A", "A_pk": "A", "s2": "s**2", "hp_metric": "metric_horsepower",
    "Ω/1000 ft": "ohm/kilofoot", "Ω/1000ft": "ohm/kilofoot", "ohm/1000ft": "ohm/kilofoot",
}  # fmt: skip
COMMON_UNITS: Final = (
    "V", "mV", "A", "mA", "Ω", "mΩ", "kΩ", "MΩ", "W", "kW", "Ah", "Wh", "Hz", "F", "mF", "uF", "mH",
    "uH", "Wb", "s", "ms", "min", "h", "mm", "cm", "m", "km", "in", "km/h", "mph", "m/s", "r/min",
    "N", "Nm", "kg", "degC", "K", "deg", "%", "bar", "Ω/km", "mm2", "A2s", "J", "Wh/km",
)  # fmt: skip

_SMALLEST, _LARGEST = -4, 9
"""Powers of ten shown without an exponent."""
_UNIT_TEXT: Final = re.compile(r"[A-Za-zµμΩΩ°%_][A-Za-zµμΩΩ°%_0-9*/·^ ]{0,31}|1?")
_NUMBER: Final = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?")
_CYCLES: Final = re.compile(r"[Hh]ertz|Hz")
_READING: Final = re.compile(rf"({_NUMBER.pattern})\s*(\S.*)?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as written, with the way from and to SI: `si = number * factor + offset`."""

    text: str
    factor: float
    offset: float
    dimension: Dimension

    @property
    def is_point(self) -> bool:
        """Whether numbers in this unit are points on a scale with its own zero, as in degC."""
        return self.offset != 0.0

    def to_si(self, number: float) -> float:
        """Return `number` of this unit in SI."""
        return number * self.factor + self.offset

    def from_si(self, si: float) -> float:
        """Return the SI value `si` as a number of this unit."""
        return (si - self.offset) / self.factor


@dataclass(frozen=True, slots=True)
class Reading:
    """A number as a person typed it, with its unit; `typed` keeps the resolution."""

    typed: str
    unit: str

    @property
    def number(self) -> float:
        """The number in `unit`."""
        return float(self.typed)

    @property
    def si(self) -> float:
        """The value in SI."""
        return unit(self.unit).to_si(self.number)

    @property
    def resolution(self) -> float:
        """The place value of the last digit typed, in `unit`: 0.1 for `84.0`."""
        mantissa, _, exponent = self.typed.lower().partition("e")
        decimals = len(mantissa.partition(".")[2])
        return 10.0 ** (int(exponent or "0") - decimals)

    def __str__(self) -> str:
        return f"{self.typed} {self.unit}".strip()


@functools.cache
def registry() -> pint.UnitRegistry[float]:
    """Return the one unit registry, made at the first call."""
    import pint  # a quarter of a second: not before a unit is asked for

    return pint.UnitRegistry(cache_folder=None)


@functools.lru_cache(maxsize=512)
def unit(text: str) -> Unit:
    """Return the unit written as `text`; empty means a plain number.

    Raises:
        QuantityError: the text is no unit; names the nearest known ones.
    """
    if not _UNIT_TEXT.fullmatch(text):
        raise QuantityError(f"{text[:40]!r} is not a unit.", _nearest_units(text))
    spelled = _ALIASES.get(text) or _spelled(text)
    ureg = registry()
    try:
        parsed = ureg.parse_units(spelled)
        one, zero = (_in_base_units(ureg, number, parsed) for number in (1.0, 0.0))
        exponents = ureg.get_dimensionality(parsed)
    except Exception as error:  # pint raises many kinds, parser errors among them
        raise QuantityError(f"{text!r} is not a known unit.", _nearest_units(text)) from error
    dimension = Dimension(tuple(float(str(exponents.get(base, 0))) for base in _BASES))
    if set(exponents) - set(_BASES):
        raise QuantityError(f"{text!r} measures something that no step here can use.")
    return Unit(text, one - zero, zero, dimension)


def _in_base_units(ureg: pint.UnitRegistry[float], number: float, parsed: object) -> float:
    """Return a number of pint's unit `parsed` in SI base units."""
    magnitude: float = ureg.Quantity(number, str(parsed)).to_base_units().magnitude
    return magnitude


def _spelled(text: str) -> str:
    """Return a compound unit in pint's spelling, each part through the aliases.

    Alone, pint reads `Nm/A` as a yarn count over ampere and not as newton metres.
    """
    parts = re.split(r"([*/ ]+)", text.replace("r/min", "rpm").replace("·", "*").replace("^", "**"))
    return "".join(f"({_ALIASES[each]})" if _ALIASES.get(each) else each for each in parts)


def _nearest_units(text: str) -> str:
    near = difflib.get_close_matches(text, COMMON_UNITS, n=3, cutoff=0.5)
    return f"Did you mean {' or '.join(near)}?" if near else "Units look like V, mΩ, km/h, degC."


def parse_number(text: str) -> float:
    """Return the number typed, or refuse: nothing is dropped, repaired or guessed.

    Raises:
        QuantityError: not a plain decimal number with a point; says which character is wrong.
    """
    typed = text.strip()
    if _NUMBER.fullmatch(typed) and typed.isascii():
        number = float(typed)
        if math.isfinite(number):
            return number
        raise QuantityError(f"{typed} is too large a number.")
    if "," in typed:
        raise QuantityError(
            f"{typed[:40]!r} has a comma.", "Write decimals with a point and no separators: 3.5."
        )
    if typed.startswith(("\u2212", "\u2013")):
        raise QuantityError(f"{typed[:40]!r} starts with a dash that is no minus.", "Type -.")
    if not typed:
        raise QuantityError("Nothing was typed.", "Type a number, like 84.0.")
    raise QuantityError(f"{typed[:40]!r} is not a number.", "Write digits and one point: 84.0.")


def parse_reading(text: str, expected_unit: str) -> Reading:
    """Return what was typed as a reading: `84.0` in the expected unit, or `84000 mV` in its own.

    Raises:
        QuantityError: no number, no unit, or a unit of another dimension than `expected_unit`.
    """
    match = _READING.fullmatch(text.strip())
    if not match or (not text.isascii() and not match.group(2)):
        parse_number(text)
        raise QuantityError(f"{text[:40]!r} is not a number.")
    number, own = match.group(1), (match.group(2) or "").strip()
    if own.startswith((",", ".")) or re.match(r"[eE]?[\d+-]", own):
        parse_number(text)
        raise QuantityError(f"{text[:40]!r} is not a number and a unit.")
    parse_number(number)
    if not own:
        return Reading(number, expected_unit)
    if unit(own).dimension != unit(expected_unit).dimension:
        wanted = expected_unit or "a plain number"
        raise QuantityError(f"{own!r} cannot be turned into {wanted}.", f"Give it in {wanted}.")
    _refuse_other_convention(own, expected_unit)
    return Reading(number, own)


def other_convention(own: str, expected: str) -> str:
    """Return why a unit is not the expected one although SI cannot tell them; empty where it is."""
    cycles = [bool(_CYCLES.search(each)) for each in (own, expected)]
    peaks = [next((end for end in ("_pk", "_rms") if end in each), "") for each in (own, expected)]
    if own and expected and cycles[0] != cycles[1]:
        return "60 r/min are 1 Hz, but r/min and rad/s count an angle and Hz counts turns."
    if all(peaks) and peaks[0] != peaks[1]:
        return "Of a sine, peak is √2 times rms."
    return ""


def _refuse_other_convention(own: str, expected: str) -> None:
    """Refuse a unit that SI cannot tell from the expected one although it means another number."""
    said = other_convention(own, expected)
    if expected == "K" and unit(own).is_point:
        said = f"{own} is a point on a scale; 10 degC or 18 degF more or less are 10 K."
    if said:
        raise QuantityError(
            f"{own!r} is not taken for {expected}.", f"Give it in {expected}. {said}"
        )


def show(si: float, text: str, digits: int = 4) -> str:
    """Return an SI value in the unit `text`, with `digits` significant digits: `84.00 V`."""
    number = unit(text).from_si(si)
    return f"{show_number(number, digits)} {text}".strip()


def show_number(number: float, digits: int = 4) -> str:
    """Return a number with `digits` significant digits and no exponent where one can be avoided.

    Whole-number digits are never rounded away: 12345.6 with 4 digits is `12346`.
    """
    if number == 0 or not math.isfinite(number):
        return "0" if number == 0 else str(number)
    exponent = int(f"{number:.{digits - 1}e}".partition("e")[2])  # of the rounded number
    if not _SMALLEST <= exponent <= _LARGEST:
        return f"{number:.{digits}g}"
    return f"{number:.{max(0, digits - 1 - exponent)}f}"


def plain_number(number: float, digits: int) -> str:
    """Return a number with up to `digits` digits, without zeros that say nothing: `3`, `0.5`."""
    text = show_number(number, digits)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text
