"""Resistance over temperature of the sensors found in motors and controllers; degC and Ω here.

IEC 60751 for platinum, published tables for silicon, the B equation for NTC. The calculators that
use these curves are in `temperature_sensors` and `sensor_identity`.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import pairwise
from typing import Final

A, B, C = 3.9083e-3, -5.775e-7, -4.183e-12
"""IEC 60751 coefficients."""
PLATINUM_RANGE: Final = (-200.0, 850.0)
_NEWTON: Final = 40
_SETTLED: Final = 1e-10
"""K; a smaller step of Newton's changes nothing that is shown."""
KTY84: Final = (
    (-40.0, 359.0), (-30.0, 391.0), (-20.0, 424.0), (-10.0, 460.0), (0.0, 498.0), (10.0, 538.0),
    (20.0, 581.0), (25.0, 603.0), (30.0, 626.0), (40.0, 672.0), (50.0, 722.0), (60.0, 773.0),
    (70.0, 826.0), (80.0, 882.0), (90.0, 940.0), (100.0, 1000.0), (110.0, 1062.0), (120.0, 1127.0),
    (130.0, 1194.0), (140.0, 1262.0), (150.0, 1334.0), (160.0, 1407.0), (170.0, 1482.0),
    (180.0, 1560.0), (190.0, 1640.0), (200.0, 1722.0), (250.0, 2166.0), (300.0, 2624.0),
)  # fmt: skip
"""Published table (seen): degC, Ω."""
_KTY81 = (7.874e-3, 1.874e-5)
"""Linear and quadratic coefficient about 25 °C (from memory; R100/R25 = 1.696 seen)."""
_KTY81_BEND: Final = {1000.0: (3.42e-8, 3.7), 2000.0: (1.096e-6, 3.0)}
"""By the resistance at 25 °C: what is taken off above 100 °C, factor and power (from memory; they
give the published 2211 Ω and 4280 Ω at 150 °C, seen)."""
_KTY81_BENDS_AT: Final = 100.0
KTY81_RANGE: Final = (-55.0, 150.0)


def platinum(temperature: float, at_zero: float) -> float:
    """Return the resistance of platinum with `at_zero` Ω at 0 °C (IEC 60751)."""
    ratio = 1.0 + temperature * (A + temperature * B)
    if temperature < 0:
        ratio += C * (temperature - 100.0) * temperature**3
    return at_zero * ratio


def platinum_temperature(resistance: float, at_zero: float) -> float:
    """Return the temperature of platinum; a root below 0 °C is found by Newton's steps."""
    ratio = resistance / at_zero
    temperature = (-A + math.sqrt(A * A - 4.0 * B * (1.0 - ratio))) / (2.0 * B)
    if temperature >= 0:
        return temperature
    for _ in range(8):
        slope = A + 2.0 * B * temperature + C * (4.0 * temperature - 300.0) * temperature**2
        temperature -= (platinum(temperature, 1.0) - ratio) / slope
    return temperature


def silicon_84(temperature: float) -> float:
    """Return the resistance of a KTY84-type sensor between the points of its table."""
    return _between(KTY84, temperature)


def silicon_84_temperature(resistance: float) -> float:
    """Return the temperature of a KTY84-type sensor between the points of its table."""
    return _between(tuple((ohms, degrees) for degrees, ohms in KTY84), resistance)


def silicon_81(temperature: float, at_25: float) -> float:
    """Return the resistance of a KTY81-type sensor with `at_25` (1000 or 2000) Ω at 25 °C.

    Beyond the range of the type it goes on straight, so that it never turns back.
    """
    within = min(temperature, KTY81_RANGE[1])
    from_25, over = within - 25.0, max(0.0, within - _KTY81_BENDS_AT)
    factor, power = _KTY81_BEND[at_25]
    ratio = 1.0 + from_25 * (_KTY81[0] + from_25 * _KTY81[1]) - factor * math.pow(over, power)
    return at_25 * (ratio + (temperature - within) * _silicon_81_slope(within, at_25))


def _silicon_81_slope(temperature: float, at_25: float) -> float:
    """Return the change per kelvin, as a share of `at_25`."""
    over = max(0.0, temperature - _KTY81_BENDS_AT)
    factor, power = _KTY81_BEND[at_25]
    bend = factor * power * math.pow(over, power - 1.0)
    return _KTY81[0] + 2.0 * (temperature - 25.0) * _KTY81[1] - bend


def silicon_81_temperature(resistance: float, at_25: float) -> float:
    """Return the temperature of a KTY81-type sensor; above 100 °C it is found by Newton's steps."""
    linear, quadratic = _KTY81
    square = linear * linear - 4.0 * quadratic * (1.0 - resistance / at_25)
    temperature = 25.0 + (-linear + math.sqrt(square)) / (2.0 * quadratic)
    if temperature <= _KTY81_BENDS_AT:
        return temperature
    for _ in range(_NEWTON):
        slope = at_25 * _silicon_81_slope(min(temperature, KTY81_RANGE[1]), at_25)
        step = (resistance - silicon_81(temperature, at_25)) / slope
        temperature += step
        if abs(step) < _SETTLED:
            break
    return temperature


def ntc(temperature: float, at_25: float, beta: float) -> float:
    """Return the resistance of an NTC with `at_25` Ω at 25 °C, by its B value in K."""
    return at_25 * math.exp(beta * (1.0 / (temperature + 273.15) - 1.0 / 298.15))


def ntc_temperature(resistance: float, at_25: float, beta: float) -> float:
    """Return the temperature of an NTC, by its B value in K."""
    return 1.0 / (1.0 / 298.15 + math.log(resistance / at_25) / beta) - 273.15


def _between(table: tuple[tuple[float, float], ...], x: float) -> float:
    """Return y at `x` by straight lines; `x` is within the table, whose x values rise."""
    at = min(max(bisect_right(table, (x, math.inf)), 1), len(table) - 1)
    (x0, y0), (x1, y1) = table[at - 1], table[at]
    return y0 + (x - x0) * (y1 - y0) / (x1 - x0)


def is_rising(table: tuple[tuple[float, float], ...]) -> bool:
    """Return whether x and y rise from point to point."""
    return all(x0 < x1 and y0 < y1 for (x0, y0), (x1, y1) in pairwise(table))
