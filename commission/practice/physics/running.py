"""How a motor runs by the sensor angles that its controller holds: sense, torque, smoothness."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from commission.calculators.circular import wrapped
from commission.practice.physics.rotor import SELDOM, sectors, stored_sectors

if TYPE_CHECKING:
    from commission.practice.build import Motor, Rotor
    from commission.practice.physics.rotor import Angles

SMOOTH: Final = math.cos(math.radians(25.0))
"""Share of the torque that every sector of a smooth motor gives (common practice, no source)."""
TURNS: Final = 0.25
"""Share of the torque below which a motor does not start against its friction."""


@dataclass(frozen=True, slots=True)
class Running:
    """What becomes of a torque that is asked for, in one electrical turn."""

    mean: float
    """Mean torque as a share of the torque at right angles; positive: the bike drives forward."""
    weakest: float
    """The least of a sector in the mean's own sense; negative where it pulls the other way."""

    @property
    def sense(self) -> int:
        """1 forward, −1 backward, 0 when it does not turn."""
        if abs(self.mean) < TURNS or self.weakest < 0.0:
            return 0
        return 1 if self.mean > 0.0 else -1

    @property
    def smooth(self) -> bool:
        """Whether every part of the turn gives nearly the whole torque."""
        return self.weakest >= SMOOTH

    @property
    def torque_share(self) -> float:
        """The share of the torque that is left, from 0 to 1."""
        return abs(self.mean) if self.sense else 0.0


def running(rotor: Rotor, motor: Motor, stored: Angles, *, reverse: bool) -> Running:
    """Return how the motor runs with the angles `stored` and the direction set `reverse` or not.

    In each sector the current stands wrong by what the stored centre differs from the true one, and
    the torque is its cosine. A state that the controller does not know gives none. An intermittent
    sensor is at times a dead one. With a phase open the field does not turn: half the torque on
    average, none at two places of a turn.
    """
    mean, weakest = _in_a_turn(rotor, motor, stored)
    dropped = tuple(
        replace(each, state="dead") if each.state == "intermittent" else each
        for each in rotor.sensors
    )
    if dropped != rotor.sensors:
        one, two, three = dropped
        without = _in_a_turn(replace(rotor, sensors=(one, two, three)), motor, stored)
        mean = (1.0 - SELDOM) * mean + SELDOM * without[0]
        weakest = min(weakest, without[1])
    if motor.open_phase:
        mean, weakest = mean / 2.0, min(0.0, weakest)
    sense = motor.phase_order * (-1.0 if reverse else 1.0)
    return Running(mean * sense, weakest)


def _in_a_turn(rotor: Rotor, motor: Motor, stored: Angles) -> tuple[float, float]:
    """Return the mean of the torque in the controller's own sense, and its weakest sector."""
    known = stored_sectors(stored)
    shares = []
    for each in sectors(rotor, motor):
        centre = known.get(each.state)
        share = 0.0 if centre is None else math.cos(centre - each.centre)
        shares.append((share, each.width))
    mean = math.fsum(share * width for share, width in shares) / math.tau
    return mean, min(math.copysign(1.0, mean) * share for share, _ in shares)


def rolled(rotor: Rotor, motor: Motor, stored: Angles, *, reverse: bool) -> int:
    """Return the sign of the speed that is shown when the bike is rolled forward; 0 is none."""
    known = stored_sectors(stored)
    centres = [known.get(each.state) for each in sectors(rotor, motor)]
    places = [each for each in centres if each is not None]
    if len(places) < len(centres) or len(places) < 3:  # noqa: PLR2004  two places have no sense
        return 0
    around = zip(places, [*places[1:], places[0]], strict=True)
    turns = round(math.fsum(wrapped(end - start) for start, end in around) / math.tau)
    # The sectors are in the controller's own sense; rolled forward, a mirrored one goes back.
    return turns * motor.phase_order * (-1 if reverse else 1)
