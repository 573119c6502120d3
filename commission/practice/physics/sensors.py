"""Temperature sensors: the resistance they have, and what a controller reads from it.

A controller turns resistance into temperature by the kind that is set in it. Where another kind is
fitted the display is wrong by what separates the two curves.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.calculators import temperature_curves as curves
from commission.calculators.sensor_identity import CANDIDATES

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.build import Thermometry

ZERO_C: Final = 273.15
KINDS: Final = tuple(CANDIDATES)
"""The kinds that a build or a setting can name, beside `none`."""
COLDEST, HOTTEST = -40.0, 150.0
"""Ends of every display in °C: beyond them all the curves are not known."""

_BACK: Final[Mapping[str, Callable[[float], float]]] = {
    "Pt100": lambda ohms: curves.platinum_temperature(ohms, 100.0),
    "Pt1000": lambda ohms: curves.platinum_temperature(ohms, 1000.0),
    "KTY84": curves.silicon_84_temperature,
    "KTY81-1": lambda ohms: curves.silicon_81_temperature(ohms, 1000.0),
    "KTY81-2": lambda ohms: curves.silicon_81_temperature(ohms, 2000.0),
    "NTC 10k": lambda ohms: curves.ntc_temperature(ohms, 10e3, 3435.0),
    "NTC 100k": lambda ohms: curves.ntc_temperature(ohms, 100e3, 3950.0),
}


def resistance(kind: str, temperature: float) -> float:
    """Return the resistance of a sensor of this kind at `temperature` in K, ohm.

    Infinity for the kind `none`: nothing is connected.
    """
    if kind == "none":
        return math.inf
    return CANDIDATES[kind][0](temperature - ZERO_C)


def motor_sensor(thermometry: Thermometry, temperature: float) -> float:
    """Return the resistance at the motor's sensor plug at `temperature` in K, ohm."""
    if thermometry.motor_state == "open":
        return math.inf
    if thermometry.motor_state == "shorted":
        return 0.0
    alone = resistance(thermometry.motor_kind, temperature)
    return alone * (1.0 + thermometry.motor_sensor_spread) + thermometry.motor_extra_resistance


def displayed(kind: str, ohms: float) -> float | None:
    """Return the temperature in K that is displayed for `ohms` when `kind` is set.

    None for the kind `none`. Held at the display's ends: an open platinum sensor reads hot, an open
    NTC cold.
    """
    if kind == "none":
        return None
    cold, hot = (CANDIDATES[kind][0](end) for end in (COLDEST, HOTTEST))
    rising = cold < hot
    if (ohms <= cold) if rising else (ohms >= cold):
        return COLDEST + ZERO_C
    if (ohms >= hot) if rising else (ohms <= hot):
        return HOTTEST + ZERO_C
    return _BACK[kind](ohms) + ZERO_C
