"""Rotor-position sensors: what a detection run finds, and the states of a turn by hand.

The controller sees its own frame: where two phases are exchanged its field turns against the
bike's forward sense, and every angle is mirrored. Angles here are electrical radians in that frame,
0 to 2π; a build states degrees in the bike's forward sense.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from random import Random

    from commission.practice.build import Motor, Rotor

TURN: Final = 2.0 * math.pi
Angles = tuple[float, float, float]
"""Of the controller's three inputs, electrical radians."""
TENTH: Final = 0.1
"""The share of the usual phase current at which a build states its cogging; too weak to trust
(common practice, no source)."""
SELDOM: Final = 0.4
"""How often an intermittent sensor misses in a run."""


@dataclass(frozen=True, slots=True)
class Sector:
    """A part of one electrical turn in which the three inputs do not change."""

    state: int
    """The first input is the bit of value 4, as in the calculator `sensor-sequence`."""
    centre: float
    """Electrical radians."""
    width: float


def true_angles(rotor: Rotor, motor: Motor) -> Angles:
    """Return where each input truly switches on."""
    one, two, three = (
        motor.phase_order * math.radians(rotor.sensors[wired].angle) for wired in rotor.wire_order
    )
    if motor.phase_order == 1:
        return one % TURN, two % TURN, three % TURN
    # Seen in the mirror a sensor switches on where it switched off, half a turn on.
    return (one + math.pi) % TURN, (two + math.pi) % TURN, (three + math.pi) % TURN


def detected(rotor: Rotor, motor: Motor, share: float, random: Random) -> Angles:
    """Return the angles of one detection run at a `share` of the usual phase current.

    Friction and the magnets' pull hold the rotor back by an angle whose sine is in inverse
    proportion to the current, somewhere within it at each place; on it comes noise. Below the
    current that can overcome them the rotor follows at random. A sensor that never switches gives
    any angle.
    """
    shift = random.gauss(0.0, math.radians(rotor.loose))
    truth = true_angles(rotor, motor)
    found = [
        (truth[k] + shift + _error(rotor, share, rotor.sensors[rotor.wire_order[k]].state, random))
        % TURN
        for k in range(3)
    ]
    return found[0], found[1], found[2]


def sectors(rotor: Rotor, motor: Motor) -> tuple[Sector, ...]:
    """Return the sectors of one true turn, in the sense in which the controller's angle grows.

    An intermittent sensor is taken while it works.
    """
    states = tuple(rotor.sensors[wired].state for wired in rotor.wire_order)
    # A sensor without signal is pulled up by its input.
    fixed = {"stuck low": 0, "stuck high": 1, "dead": 1}
    return _sectors(true_angles(rotor, motor), tuple(fixed.get(state) for state in states))


def stored_sectors(stored: Angles) -> dict[int, float]:
    """Return the centre of each state by the angles that a controller holds."""
    return {each.state: each.centre for each in _sectors(stored, (None, None, None))}


def turned_by_hand(rotor: Rotor, motor: Motor) -> tuple[int, ...]:
    """Return the states of one electrical turn when the bike is rolled forward."""
    seen = tuple(each.state for each in sectors(rotor, motor))
    return seen if motor.phase_order == 1 else seen[::-1]


def _error(rotor: Rotor, share: float, state: str, random: Random) -> float:
    noise = random.gauss(0.0, math.radians(rotor.noise))
    place = random.uniform(0.0, TURN)
    if state in {"dead", "stuck low", "stuck high"}:
        return place
    if state == "intermittent" and random.random() < SELDOM:
        return noise + random.uniform(-1.0, 1.0)
    # The torque that holds it over the torque of the current; a sine's mean square is a half.
    most = math.radians(rotor.cogging) * math.sqrt(2.0)
    held = most * TENTH / share if share > 0 else math.inf
    if held >= 1.0:
        return place
    return noise + math.asin(held) * math.sin(place)


def _sectors(angles: Angles, fixed: tuple[int | None, ...]) -> tuple[Sector, ...]:
    """Cut the turn at every edge of an input that switches; name each part by its state."""
    edges = sorted(
        edge % TURN
        for angle, level in zip(angles, fixed, strict=True)
        if level is None
        for edge in (angle, angle + math.pi)
    )
    if not edges:
        return (Sector(_state(0.0, angles, fixed), 0.0, TURN),)
    found = []
    for start, end in zip(edges, [*edges[1:], edges[0] + TURN], strict=True):
        width = end - start
        if width > 1e-9:  # noqa: PLR2004  two edges at one place are no sector
            centre = (start + width / 2.0) % TURN
            found.append(Sector(_state(centre, angles, fixed), centre, width))
    return tuple(found)


def _state(at: float, angles: Angles, fixed: tuple[int | None, ...]) -> int:
    bits = [
        int((at - angle) % TURN < math.pi) if level is None else level
        for angle, level in zip(angles, fixed, strict=True)
    ]
    return bits[0] * 4 + bits[1] * 2 + bits[2]
