"""How a robot works at the bench: honestly, or careless in one of three ways."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Habits:
    """What it leaves out; nothing for the honest one."""

    name: str
    what: str
    """In words."""
    confirms: bool = False
    """Does not look: confirms, and picks what is expected."""
    copies: bool = False
    """Does not measure: types its last reading again, or the middle of what would be good."""
    hurries: bool = False
    """Does not wait: the key goes on at once, and the timer runs down afterwards."""


HONEST: Final = Habits("honest", "reads, types, obeys; knows nothing of a fault")
CONFIRMS: Final = Habits("confirms", "confirms without looking", confirms=True)
COPIES: Final = Habits("copies", "copies the last reading or types what is expected", copies=True)
HURRIES: Final = Habits("hurries", "skips waits as far as it is let", hurries=True)

ALL: Final = (HONEST, CONFIRMS, COPIES, HURRIES)
