"""The instruments at the bench, and what they show of a bike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice import places
from commission.practice.build import Meter
from commission.practice.physics import meters

if TYPE_CHECKING:
    from commission.practice.bike import Bike

PERFECT: Final = Meter(0.0, 0.0, 0.0)


class Instruments:
    """The instruments of whoever works at one bike, each with its error."""

    def __init__(self, bike: Bike) -> None:
        self._bike = bike

    def read(self, kind: str, truth: float, unit: str) -> str:
        """Return the text an instrument of this kind shows for a truth in SI, in `unit`."""
        meter = self._bike.build.meters.get(kind, PERFECT)
        return meters.reading(meter, truth, unit, self._bike.random)

    def put(self, kind: str, place: str, unit: str) -> str:
        """Put an instrument to a place and return the text it shows, in `unit`.

        Raises:
            KeyError: there is no such place.
        """
        return self.read(kind, self.truth_at(place), unit)

    def truth_at(self, place: str) -> float:
        """Return the truth at a place that an instrument can be put to, in SI; see `places`."""
        return places.PLACES[place](self._bike)
