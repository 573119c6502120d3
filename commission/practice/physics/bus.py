"""The d.c. bus: pre-charge, bleeding, what it has to the frame, and the cables that feed it.

All in closed form, with the time as an argument: a first-order circuit needs no steps.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from commission.calculators.cable import CLASS_5_PLAIN, RESISTIVITY
from commission.calculators.catalogue import compute

if TYPE_CHECKING:
    from commission.practice.build import Wiring

METER_RESISTANCE: Final = 10e6
"""Input resistance of a multimeter's voltage ranges, ohm (common practice, no source)."""
FLEXIBLE_EXCESS: Final = 1.12
"""How far flexible copper lies above resistivity over cross-section (IEC 60228, 25 mm²)."""


def bled(start: float, bleed: float, capacitance: float, time: float) -> float:
    """Return the bus voltage `time` seconds after its supply went, V."""
    return start * _left(time, bleed * capacitance)


def charged(
    supply: float, start: float, series: float, bleed: float, capacitance: float, time: float
) -> float:
    """Return the bus voltage after `time` seconds of supply through `series` ohm, V.

    The bleed resistor draws meanwhile, so that the bus ends a little below the supply. An open
    `series` (infinity) supplies nothing; none at all (0) supplies at once.
    """
    if math.isinf(series):
        return bled(start, bleed, capacitance, time)
    if series == 0.0:
        return supply
    together = _parallel(series, bleed)
    end = supply * together / series
    return end + (start - end) * _left(time, together * capacitance)


def inrush(supply: float, start: float, series: float) -> float:
    """Return the current of the first moment in A; `series` is all resistance in the loop, ohm."""
    return (supply - start) / series


def loop_resistance(wiring: Wiring, temperature: float = 293.15) -> float:
    """Return the resistance of both battery cables and their joints, ohm; K."""
    area = f"{wiring.area * 1e6:g}"
    cable: dict[str, float | str] = {
        "current": 1.0, "loop_length": wiring.loop_length, "temperature": temperature,
    }  # fmt: skip
    if area in CLASS_5_PLAIN:
        cable["area"] = area
    else:
        cable["per_length"] = FLEXIBLE_EXCESS * RESISTIVITY / wiring.area
    return float(compute("voltage-drop", cable).outputs["resistance"]) + wiring.joint_resistance


def isolation(wiring: Wiring, pole: str) -> float:
    """Return what an insulation tester sees from a pole of the dead bus to the frame, ohm.

    `pole` is `positive` or `negative`. The other pole's path counts too, through the bleed
    resistor. The windings count to the negative pole where the topology is combined: the tester's
    positive probe there drives current through the bridge's lower diodes.
    """
    negative = wiring.isolation_negative
    if wiring.topology == "combined":
        negative = _parallel(negative, wiring.isolation_phases)
    positive = wiring.isolation_positive
    near, far = (positive, negative) if pole == "positive" else (negative, positive)
    return _parallel(near, far + wiring.bleed_resistance)


def to_frame(wiring: Wiring, voltage: float, pole: str) -> float:
    """Return what a voltmeter shows from a pole to the frame at a bus `voltage`, V.

    The two isolations divide the bus voltage, loaded by the meter: sound isolation shows a part
    of the bus voltage too, on a live bus.
    """
    positive, negative = wiring.isolation_positive, wiring.isolation_negative
    if pole == "positive":
        near = _parallel(positive, METER_RESISTANCE)
        return voltage * near / (near + negative)
    near = _parallel(negative, METER_RESISTANCE)
    return -voltage * near / (near + positive)


def _left(time: float, constant: float) -> float:
    """Return the share of a difference that is left after `time`; none of it on a shorted bus."""
    return math.exp(-time / constant) if constant > 0.0 else 0.0


def _parallel(one: float, other: float) -> float:
    if math.isinf(one) or math.isinf(other):
        return min(one, other)
    return one * other / (one + other) if one + other > 0 else 0.0
