"""The pack: open-circuit voltage by state of charge, resistance, sag, and what it takes in."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.practice.build import Pack

OPEN_VOLTAGE: Final[Mapping[str, tuple[tuple[float, float], ...]]] = {
    "nmc": (
        (0.0, 0.0), (0.05, 0.29), (0.1, 0.38), (0.2, 0.46), (0.3, 0.51), (0.4, 0.545),
        (0.5, 0.585), (0.6, 0.665), (0.7, 0.75), (0.8, 0.83), (0.9, 0.91), (1.0, 1.0),
    ),
    "lfp": (
        (0.0, 0.0), (0.05, 0.60), (0.1, 0.68), (0.2, 0.72), (0.4, 0.75), (0.6, 0.765),
        (0.8, 0.785), (0.95, 0.80), (0.99, 0.86), (1.0, 1.0),
    ),
}  # fmt: skip
"""State of charge, and the share of the way from the empty to the full cell voltage (common
practice, no source: the shape alone matters here, its ends come from the cell)."""


def full_voltage(pack: Pack) -> float:
    """Return the open-circuit voltage of the full pack, V."""
    return pack.series * pack.cell_full


def open_voltage(pack: Pack) -> float:
    """Return the open-circuit voltage at the pack's state of charge, V; never negative."""
    table = OPEN_VOLTAGE[pack.chemistry]
    charge = min(1.0, max(0.0, pack.state_of_charge))
    at = min(bisect_right(table, (charge, 2.0)), len(table) - 1)
    (x0, y0), (x1, y1) = table[at - 1], table[at]
    share = y0 + (charge - x0) * (y1 - y0) / (x1 - x0)
    return pack.series * (pack.cell_empty + share * (pack.cell_full - pack.cell_empty))


def contact_voltage(pack: Pack) -> float:
    """Return what a meter sees with its red probe on the contact marked positive, no load, V.

    Negative where the poles are reversed.
    """
    return -open_voltage(pack) if pack.reversed_poles else open_voltage(pack)


def resistance(pack: Pack) -> float:
    """Return the d.c. resistance of the pack with its leads, ohm."""
    return pack.series * pack.cell_resistance / pack.parallel + pack.lead_resistance


def loaded_voltage(pack: Pack, current: float) -> float:
    """Return the voltage at the contacts under `current` in A, positive on discharge; V.

    0 where the current is more than a short circuit gives, or where the battery management has
    switched off.
    """
    most = open_voltage(pack) / resistance(pack)
    if current >= most:
        return 0.0
    loaded = {
        "open_voltage": open_voltage(pack), "resistance": resistance(pack), "current": current,
    }  # fmt: skip
    voltage = float(compute("pack-sag", loaded).outputs["voltage"])
    return voltage if voltage >= pack.bms_cutoff else 0.0


def charge_current(pack: Pack) -> float:
    """Return the largest current that may be pushed into the pack as it is now, A.

    0 outside the cells' charging temperatures and for a full pack.
    """
    state = {
        "series": pack.series,
        "parallel": pack.parallel,
        "cell_current": pack.cell_charge_current,
        "cell_full": pack.cell_full,
        "open_voltage": open_voltage(pack),
        "resistance": resistance(pack),
        "temperature": pack.temperature,
        "coldest": pack.charge_temperature_low,
        "hottest": pack.charge_temperature_high,
    }
    return float(compute("charge-limit", state).outputs["current"])


def discharged(pack: Pack, charge: float) -> Pack:
    """Return the pack after `charge` in coulomb was drawn; within empty and full."""
    capacity = pack.parallel * pack.cell_capacity
    left = pack.state_of_charge - charge / capacity
    return replace(pack, state_of_charge=min(1.0, max(0.0, left)))
