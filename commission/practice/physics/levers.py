"""Throttle grip and regeneration lever: the voltage they give, and what is made of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from commission.practice.build import Grip

_HALF = 0.5


def voltage(grip: Grip, travel: float, *, plugged: bool = True) -> float:
    """Return the signal at a `travel` from 0 to 1, V.

    The signal waits through the dead travel, then rises to full with a bow in the middle. A broken
    wire reads as the pulled plug does, a short to the supply as the supply.
    """
    if not plugged or grip.state == "open":
        return grip.unplugged
    if grip.state == "shorted to supply":
        return grip.supply
    if grip.switch:
        return grip.full if travel >= _HALF else grip.released
    # A grip that is dead over all its travel never moves its signal.
    live = max(1.0 - grip.dead_travel, 1e-9)
    moved = min(1.0, max(0.0, (travel - grip.dead_travel) / live))
    bow = 4.0 * grip.curve * moved * (1.0 - moved)
    return grip.released + (moved + bow) * (grip.full - grip.released)


def let_go(grip: Grip, travel: float) -> float:
    """Return the travel at which the grip comes to rest when it is let go at `travel`."""
    if grip.state == "sticks":
        return travel
    return travel * (1.0 - grip.returns)


def demand(
    signal: float, low: float, high: float, fault_low: float = 0.0, fault_high: float = 1e9
) -> float | None:
    """Return what a controller makes of a signal: 0 to 1, or None for a fault; all V.

    A signal outside the fault limits is a fault; a window without width demands nothing below its
    end and everything from there.
    """
    if not fault_low <= signal <= fault_high:
        return None
    if high <= low:
        return 1.0 if signal >= low else 0.0
    return min(1.0, max(0.0, (signal - low) / (high - low)))
