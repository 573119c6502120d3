"""A workshop's instruments, with the accuracies that the shipped checklists ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice.build import Meter

if TYPE_CHECKING:
    from collections.abc import Mapping

_PROMISES: Final = {
    "multimeter": (0.5, 2.0, 0.0),
    "insulation tester": (3.0, 5.0, 0.0),
    "milliohm meter": (1.0, 3.0, 1e-5),
    "torque wrench": (4.0, 0.0, 0.1),
    "thermometer": (0.0, 5.0, 0.1),
    "tape measure": (0.0, 1.0, 1e-3),
}
"""Percent of reading, counts, and the value of a count in SI; 0 where it follows the reading."""
INSTRUMENTS: Final = tuple(_PROMISES)


def meters(gains: Mapping[str, float]) -> Mapping[str, Meter]:
    """Return the instruments; `gains` by kind, 0 where none is given."""
    return {
        kind: Meter(percent, counts, resolution, gains.get(kind, 0.0))
        for kind, (percent, counts, resolution) in _PROMISES.items()
    }
