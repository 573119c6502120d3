"""What can be seen and heard at the bench without touching anything, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.quantities import unit

if TYPE_CHECKING:
    from commission.practice.bike import Bike
    from commission.practice.display import Display
    from commission.practice.drive import Motion

_FAST: Final = (
    (0.15, "just turns {}"), (0.45, "turns {} slowly"), (0.8, "turns {} fast"),
)  # fmt: skip
"""Up to which share of the drive a wheel in the air turns so."""


@dataclass(frozen=True, slots=True)
class Sight:
    """One thing that is seen, under the word for it."""

    word: str
    text: str


def sights(bike: Bike) -> tuple[Sight, ...]:
    """Return what wheel, display and ears tell."""
    moves = bike.motion()
    shown = bike.display()
    lines = [Sight("Wheel", wheel(moves)), Sight("Display", display(shown))]
    if shown is not None:
        lines.append(Sight("", temperatures(shown)))
    return (*lines, Sight("Heard", heard(bike, moves)))


def wheel(moves: Motion) -> str:
    """Return what the wheel does."""
    if not moves.turns:
        return "JERKS and does not turn" if moves.manner == "jerks" else "stands still"
    how = next((words for most, words in _FAST if moves.demand <= most), "turns {} very fast")
    return how.format(moves.sense.upper())


def display(shown: Display | None) -> str:
    """Return what the display says."""
    if shown is None:
        return "dark"
    mode = "no mode" if shown.mode is None else f"mode {shown.mode}"
    lamp = "   LAMP: throttle fault" if shown.fault else ""
    return f"lit, {mode}, {shown.speed:.0f} {shown.unit}{lamp}"


def temperatures(shown: Display) -> str:
    """Return the temperatures that the display says."""
    told = [
        f"{name} {unit('degC').from_si(kelvin):.0f} °C" if kelvin is not None else f"{name} --- °C"
        for name, kelvin in (("motor", shown.motor), ("controller", shown.controller))
    ]
    return ", ".join(told)


def heard(bike: Bike, moves: Motion) -> str:
    """Return what is heard now."""
    if bike.destroyed:
        return "nothing; it smells of smoke"
    return {
        "rough": "the motor KNOCKS",
        "jerks": "the motor GROWLS",
        "smooth": "a smooth hum",
    }.get(moves.manner, "nothing")
