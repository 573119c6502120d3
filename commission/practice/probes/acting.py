"""Probes that are things to do: what was done is confirmed, or said why it cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.practice.probes.looking import Look


def on_stand(look: Look) -> str:
    """Put the bike on its stand."""
    return "done" if look.bike.stand() else _cannot(look, "the stand does not hold the bike")


def isolated(look: Look) -> str:
    """Open the disconnector; whether it opened the circuit is not seen on its handle."""
    look.bike.isolate()
    return "done"


def connected(look: Look) -> str:
    """Connect the pack through its pre-charge."""
    look.bike.connect()
    return _cannot(look, "a bang and smoke") if look.bike.destroyed else "done"


def detection_current(look: Look) -> str:
    """Raise the current of the detection."""
    look.bike.program.raise_detection_current()
    return "done"


def _cannot(look: Look, why: str) -> str:
    look.memo["reason"] = why
    return "cannot"


def _done(_: Look) -> str:
    return "done"


PROBED: Final[Mapping[str, Callable[[Look], str]]] = {
    "bike.on_stand": on_stand,
    "bike.ready": _done,
    "detection.current": detection_current,
    "handover.open_items": lambda look: look.chosen("none"),
    "handover.told": _done,
    "pack.connected": connected,
    "pack.isolated": isolated,
}
