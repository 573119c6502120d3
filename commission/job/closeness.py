"""Whether two values of a setting count as the same, and what a given stands for as a value.

One rule for all: numbers are compared in SI. Where a setting declares no closeness they must be
equal but for the last bits that converting units costs; text and yes/no are compared exactly.
Angles declared circular are compared the shorter way round.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from commission.calculators.circular import TURN, distance
from commission.procedure.expression import UnknownValueError, Value, parse
from commission.quantities import Reading, show_number, unit

if TYPE_CHECKING:
    from commission.job.state import Given
    from commission.procedure.model import Setting

ROUNDING: Final = 1e-9
"""Relative difference that is no difference: unit conversion, never measurement."""
_PER_CENT: Final = re.compile(r"\[\s*%\s*\]")


def is_relative(amount: object, of_unit: str) -> bool:
    """Return whether `amount` is written as a percentage *of* a value and not in the value's unit.

    `2[%]` of a voltage is relative; of a setting that is itself in % it means two points.
    """
    return of_unit != "%" and isinstance(amount, str) and bool(_PER_CENT.search(amount))


def value_of(given: Given) -> Value:
    """Return the value of a given: SI float, text or truth."""
    if isinstance(given, bool | str):
        return given
    # Asked for each value that an audit looks up: what is a plain dict is not asked twice.
    if type(given) is dict or isinstance(given, Mapping):
        return _si(given["typed"], given["unit"])
    raise TypeError(f"{given!r} is no given value")


@functools.lru_cache(maxsize=8192)
def _si(typed: str, in_unit: str) -> float:
    return Reading(typed, in_unit).si


def given_of(value: Value, in_unit: str) -> Given:
    """Return a computed value in the shape of a given: ten significant digits, in `in_unit`."""
    if isinstance(value, bool | str):
        return value
    if isinstance(value, tuple):
        raise TypeError("several numbers are no value of a setting")
    number = unit(in_unit).from_si(float(value))
    typed = f"{number:.10g}"
    return {"typed": "0" if typed == "-0" else typed, "unit": in_unit}


def allowed(setting: Setting, wanted: Value, values: Mapping[str, Value]) -> float:
    """Return by how much a value may differ from `wanted` and count as equal, in SI.

    Without a declared closeness, or where it rests on a value not known yet, that is rounding.
    """
    if isinstance(wanted, bool | str | tuple):
        return 0.0
    rounding = ROUNDING * (TURN if setting.circular else abs(wanted))
    if setting.equal_within is None:
        return rounding
    try:
        amount = parse(setting.equal_within).evaluate(values)
    except UnknownValueError:
        return rounding
    if isinstance(amount, str | tuple):
        return rounding
    share = is_relative(setting.equal_within, setting.unit or "")
    return rounding + abs(float(amount)) * (abs(wanted) if share else 1.0)


def is_same(setting: Setting, wanted: Given, got: Given, values: Mapping[str, Value]) -> bool:
    """Return whether `got` counts as `wanted`, within the setting's declared closeness."""
    one, other = value_of(wanted), value_of(got)
    if isinstance(one, bool | str) or isinstance(other, bool | str):
        return type(one) is type(other) and one == other
    if isinstance(one, tuple) or isinstance(other, tuple):
        return one == other
    return apart(one, other, circular=setting.circular) <= allowed(setting, one, values)


def apart(one: float, other: float, *, circular: bool) -> float:
    """Return how far two values lie apart; angles the shorter way round."""
    return distance(one, other) if circular else abs(other - one)


def shown(given: Given) -> str:
    """Return a given as people read it: `84.0 V`, `yes`, `forward`; `nothing` for None."""
    if given is None:
        return "nothing"
    if isinstance(given, bool):
        return "yes" if given else "no"
    if type(given) is dict or isinstance(given, Mapping):
        if "sha256" in given:
            return str(given["name"])
        typed = str(given["typed"])
        if len(typed) > _LONG:
            typed = show_number(float(typed))
        return f"{typed} {given['unit']}".strip()
    return str(given)


_LONG: Final = 8
"""Typed numbers longer than this were computed, and are shown rounded."""
