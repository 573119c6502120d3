"""The calculators by name; a topic's module is imported when it is asked for."""

from __future__ import annotations

import difflib
import functools
from importlib import import_module
from typing import TYPE_CHECKING, Final

from commission.calculators.base import Calculator, Result, Value
from commission.calculators.run import runner
from commission.errors import CalculationError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_MODULES: Final[Mapping[str, tuple[str, ...]]] = {
    "pack": ("pack-voltage", "pack-resistance", "pack-sag", "c-rate"),
    "pack_limits": ("battery-current-limit", "charge-limit"),
    "pack_energy": ("pack-energy", "range"),
    "copper": ("wire-gauge", "copper-temperature", "cable-short-circuit"),
    "cable": ("flexible-cable", "voltage-drop"),
    "fuse": ("fuse-rating", "fuse-pulse"),
    "capacitor": ("precharge", "discharge-time"),
    "motor_constants": ("motor-constants", "electrical-speed"),
    "motor_dq": ("torque", "base-speed", "field-weakening"),
    "motor_supply": ("battery-current", "overspeed-voltage"),
    "motor_winding": ("copper-loss", "winding-temperature", "phase-resistance", "dq-inductance"),
    "rotor_sensors": ("sensor-sequence", "turning-direction"),
    "rotor_statistics": ("sensor-spread", "sector-error"),
    "gearing": ("reduction", "rollout", "wheel-speed"),
    "wheels": ("tyre-size", "chain-length"),
    "traction": ("wheel-thrust", "gradeability", "road-load", "top-speed", "coast-down"),
    "levers": ("lever-window",),
    "lever_sensors": ("lever-faults", "lever-pair", "lever-linearity"),
    "temperature_sensors": ("platinum-sensor", "silicon-sensor"),
    "ntc_sensors": ("ntc-beta", "ntc-steinhart-hart"),
    "sensor_identity": ("sensor-at-ambient",),
    "supply": ("supply-budget", "fan-power"),
    "metrology": ("meter-accuracy", "repeatability", "combined-uncertainty", "guard-band"),
    "braking": ("braking-distance", "kinetic-energy", "regen-power"),
    "safety": ("voltage-class", "isolation-resistance", "bonding"),
}
"""Which module declares which calculators, in the order they are listed."""
_MODULE_OF: Final = {name: module for module, names in _MODULES.items() for name in names}
_runners: dict[str, Callable[[Mapping[str, Value]], Result]] = {}


def names() -> tuple[str, ...]:
    """Return the names of all calculators, topic by topic; nothing is imported."""
    return tuple(_MODULE_OF)


@functools.cache
def get(name: str) -> Calculator:
    """Return the calculator of this name.

    Raises:
        CalculationError: there is none; the hint names the nearest.
    """
    module = _MODULE_OF.get(name)
    if module is None:
        near = difflib.get_close_matches(name, _MODULE_OF, n=3, cutoff=0.55)
        hint = f"Did you mean {' or '.join(near)}?" if near else "`commission calc` lists them."
        raise CalculationError(f"There is no calculator {name[:60]!r}.", hint)
    declared = vars(import_module(f"commission.calculators.{module}")).values()
    return next(each for each in declared if isinstance(each, Calculator) and each.name == name)


def all_calculators() -> tuple[Calculator, ...]:
    """Return every calculator, in the order of `names`; imports all topics."""
    return tuple(get(name) for name in names())


def find(words: str) -> tuple[Calculator, ...]:
    """Return the calculators in whose name, topic, title, labels or formula every word occurs."""
    wanted = words.lower().split()
    return tuple(each for each in all_calculators() if all(word in _text(each) for word in wanted))


@functools.cache
def _text(calculator: Calculator) -> str:
    parts = (calculator.name, calculator.topic, calculator.title, calculator.formula)
    asked = (each.label for each in calculator.inputs)
    given = (each.label for each in calculator.outputs)
    return " ".join((*parts, *asked, *given)).lower()


def compute(name: str, inputs: Mapping[str, Value]) -> Result:
    """Return what the calculator gives for SI inputs; missing ones take their defaults.

    Raises:
        CalculationError: no such calculator, an input is missing, unknown or outside the domain.
    """
    try:
        run = _runners[name]
    except KeyError:
        run = _runners[name] = runner(get(name))
    return run(inputs)
