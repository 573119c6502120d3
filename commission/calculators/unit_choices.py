"""Which units a value can be shown and typed in: the sensible ones of its own dimension.

Decided by how a unit is written, not by its dimension alone: a torque is never offered in joules,
and A peak and A rms stand for conventions that no factor turns into each other here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

_FAMILIES: Final = (
    ("km/h", "mph", "m/s"),
    ("mm", "in", "cm", "m"),
    ("in", "mm"),
    ("m", "ft", "in", "mm"),
    ("km", "mi"),
    ("mm2", "in**2", "kcmil"),
    ("m**2", "ft**2"),
    ("Ω/km", "Ω/1000 ft", "mΩ/m"),
    ("mΩ", "Ω"),
    ("Ω", "kΩ", "mΩ"),
    ("kΩ", "MΩ", "Ω"),
    ("V", "mV"),
    ("mV", "V"),
    ("A", "mA"),
    ("mA", "A"),
    ("W", "kW", "hp_metric", "hp"),
    ("kW", "W", "hp_metric", "hp"),
    ("N", "lbf", "kgf"),
    ("kg", "lb"),
    ("kg/m**3", "lb/ft**3"),
    ("Nm", "lbf*ft", "lbf*in"),
    ("Nm/A", "lbf*ft/A"),
    ("r/min", "rad/s"),
    ("s", "ms", "min"),
    ("min", "s", "h"),
    ("Wh", "kWh", "kJ"),
    ("J", "kJ", "Wh"),
    ("Wh/km", "Wh/mi"),
    ("Ah", "mAh"),
    ("uF", "mF"),
    ("uH", "mH"),
    ("Wb", "mWb"),
    ("m/s2", "ft/s2", "g_0"),
    ("N*h**2/km**2", "N*s**2/m**2"),
    ("degC", "degF", "K"),
    ("deg", "rad"),
)
"""The first of each is the unit a declaration uses; the others follow in the order of the key."""
_CHOICES: Final = {family[0]: family for family in _FAMILIES}
_LABELS: Final = {
    "degC": "°C", "degF": "°F", "deg": "°", "hp_metric": "hp (metric)", "hp": "hp (mech.)",
    "mm2": "mm²", "in**2": "in²", "m/s2": "m/s²", "ft/s2": "ft/s²", "g_0": "g", "A2s": "A²s",
    "N*h**2/km**2": "N·h²/km²", "N*s**2/m**2": "N·s²/m²", "Nm": "N·m", "uF": "µF", "uH": "µH",
}  # fmt: skip


def choices(declared: str) -> tuple[str, ...]:
    """Return the units for a value declared in `declared`, that one first; never empty."""
    return _CHOICES.get(declared, (declared,))


def load_units(declared: Iterable[str]) -> None:
    """Make all units known that values declared in these can be shown in: a quarter of a second."""
    from commission.quantities import unit

    for of in set(declared):
        for each in choices(of):
            unit(each)


def following(declared: str, now: str) -> str:
    """Return the unit that comes after `now`; the declared one after the last or a strange one."""
    every = choices(declared)
    return every[(every.index(now) + 1) % len(every)] if now in every else declared


def label(text: str) -> str:
    """Return a unit as people write it: `°C`, `N·m`, `hp (metric)`."""
    return _LABELS.get(text) or text.replace("**2", "²").replace("**3", "³").replace("*", "·")
