"""Inputs: what is switched on must be fitted; levers begin above where they rest."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import (
    Asked,
    Compared,
    CrossCheck,
    Severity,
    Side,
    Stated,
    cross_check,
)  # fmt: skip
from commission.crosschecks.roles import FITTINGS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.crosschecks.base import Statement


def _fitted(name: str, label: str) -> CrossCheck:
    """Return the check that one thing is switched on where it is fitted, and only there."""
    enabled, fitted = f"{name}_enabled", f"{name}_fitted"

    @cross_check(
        f"{name.replace('_', '-')}-fitted",
        f"The {label} is switched on where it is fitted, and only there",
        needs=(enabled, fitted),
        source="An input that is switched on and not fitted shows as a fault: common practice, no "
        "source",
    )
    def check(asked: Asked) -> Iterator[Statement]:
        on, there = asked.truth(enabled), asked.truth(fitted)
        said = (
            f"The {label} is {'on' if on else 'off'} ({asked.origin(enabled)}) and "
            f"{'fitted' if there else 'not fitted'} ({asked.origin(fitted)})."
        )
        yield Stated(
            there or not on, said,
            follows="What is switched on and not fitted shows as a fault, at the first start or at "
            "the first bump.",
            do="Switch it off, or fit it.",
        )  # fmt: skip
        yield Stated(
            on or not there, said, Severity.LOOK_AGAIN,
            follows="It is fitted and does nothing: whoever rides believes in it.",
            do="Switch it on, or take it off the bike.",
        )  # fmt: skip

    return check


FITTED: Final = tuple(_fitted(name, label) for name, label in FITTINGS.items())
"""One check for each thing that can be switched on without being fitted."""
_CREEPS: Final = "The wheel is driven without a hand on the throttle."
DEAD_BAND: Final = 0.03
"""Volt that a lever's rest moves with wear, warmth and supply; common practice, no source."""
_LEAST_FAULT, _MOST_FAULT = 0.1, 4.9
"""Volt; what a broken wire of a sensor on 5 V passes for sure; common practice, no source."""


def _rest_and_wear(asked: Asked, role: str) -> Side:
    rest = asked.side(role)
    return Side(f"{rest.what} and {DEAD_BAND} V for wear", rest.value + DEAD_BAND, rest.origin)


@cross_check(
    "throttle-window",
    "The throttle's window lies between rest and full, its fault limits outside",
    needs=("throttle_released", "throttle_begins", "throttle_full", "throttle_fault_low",
           "throttle_fault_high"),
    uses=("throttle_full_signal",),
    version=3,
    source="Order of the voltages along the grip's travel; dead band and a 5 V supply: common "
    "practice, no source",
)  # fmt: skip
def throttle_window(asked: Asked) -> Iterator[Statement]:
    """Hold each voltage against its neighbour."""
    window = "Compute the window from the grip's two ends again, with its dead bands."
    yield Compared(
        asked.side("throttle_begins"), "V", low=asked.side("throttle_released"), follows=_CREEPS,
        do=window,
    )  # fmt: skip
    yield Compared(
        asked.side("throttle_begins"), "V", low=_rest_and_wear(asked, "throttle_released"),
        broken=Severity.LOOK_AGAIN, follows=f"{_CREEPS} It needs no more than a little wear.",
        do=window,
    )  # fmt: skip
    yield Compared(
        asked.side("throttle_begins"), "V", high=asked.side("throttle_full"),
        follows="The window stands on its head: the grip does nothing, or everything at once.",
        do=window,
    )  # fmt: skip
    yield from _faults_are_seen(asked)
    yield Compared(
        asked.side("throttle_fault_low"), "V", high=asked.side("throttle_released"),
        follows="The grip at rest is read as a fault.", do="Lower the lower fault limit.",
    )  # fmt: skip
    full = "throttle_full_signal" if asked.has("throttle_full_signal") else "throttle_full"
    yield Compared(
        asked.side("throttle_fault_high"), "V", low=asked.side(full),
        follows="Full throttle is read as a fault.", do="Raise the upper fault limit.",
    )  # fmt: skip
    if full == "throttle_full_signal":
        yield Compared(
            asked.side("throttle_full"), "V", high=asked.side(full), broken=Severity.LOOK_AGAIN,
            follows="Full power is never asked for.", do=window,
        )  # fmt: skip


def _faults_are_seen(asked: Asked) -> Iterator[Statement]:
    """A fault limit at the supply's own ends is one that no broken wire passes."""
    yield Compared(
        asked.side("throttle_fault_low"), "V",
        low=Side("what a wire to ground or an open supply stays below", _LEAST_FAULT),
        broken=Severity.LOOK_AGAIN, follows="An open or grounded signal wire is no fault.",
        do="Raise the lower fault limit, short of the grip at rest.",
    )  # fmt: skip
    yield Compared(
        asked.side("throttle_fault_high"), "V",
        high=Side("what an open ground wire of a 5 V sensor passes", _MOST_FAULT),
        broken=Severity.LOOK_AGAIN, follows="An open ground wire is full throttle, and no fault.",
        do="Lower the upper fault limit, short of the grip fully open.",
    )  # fmt: skip


@cross_check(
    "lever-window",
    "The regeneration lever begins above where it rests",
    needs=("lever_released", "lever_begins"),
    version=3,
    source="Order of the voltages along the lever's travel; dead band: common practice, no source",
)
def lever_window(asked: Asked) -> Iterator[Statement]:
    """Hold the window's begin against the rest."""
    rest: Side = asked.side("lever_released")
    yield Compared(
        asked.side("lever_begins"), "V", low=rest,
        follows="The lever brakes all the time, and charges a full pack.",
        do="Compute the window from the lever's two ends again, with its dead bands.",
    )  # fmt: skip
    yield Compared(
        asked.side("lever_begins"), "V", low=_rest_and_wear(asked, "lever_released"),
        broken=Severity.LOOK_AGAIN,
        follows="With a little wear the lever brakes all the time, and charges a full pack.",
        do="Compute the window from the lever's two ends again, with its dead bands.",
    )  # fmt: skip
