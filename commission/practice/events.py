"""What happened to a bike while it was worked on, with simulated time and the step in hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "power at the wheel", "backward under power", "runs away", "live contact", "inrush",
    "reversed polarity", "drive in the sweep", "off the stand", "hands at the wheel",
]  # fmt: skip
"""
power at the wheel     key on with a live bus: from here on the wheel can turn under power
backward under power   the wheel turned backward under power
runs away              the wheel turned under power that nobody asked for
live contact           hands at a terminal that still had a dangerous voltage
inrush                 the main contact closed on empty capacitors
reversed polarity      the pack was connected the wrong way round
drive in the sweep     the throttle was swept with drive allowed
off the stand          the wheel turned under power while the bike was not on its work stand
hands at the wheel     hands turned a wheel that was free to be driven
"""


@dataclass(frozen=True, slots=True)
class Event:
    """One of them."""

    at_s: float
    """Simulated seconds since the job began."""
    step: str
    """The step in hand; empty where no procedure leads."""
    kind: Kind
    what: str
    """One sentence."""
