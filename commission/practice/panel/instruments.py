"""The workshop's instruments: where each can be put, and what it then shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, cast

from commission.job.ask import Ask, Asking
from commission.practice.physics.workshop import INSTRUMENTS
from commission.practice.probes import ANSWERS, Look

if TYPE_CHECKING:
    from commission.job.plan import Plan
    from commission.practice.panel.world import World


@dataclass(frozen=True, slots=True)
class Spot:
    """Somewhere an instrument can be put."""

    probe: str
    """Under which a procedure asks for it."""
    kind: str
    """Of the instrument."""
    words: str
    unit: str
    """Where the procedure names none."""
    place: str = ""
    """Of `places`: the instrument lies there and shows what is true now. Empty where reading it is
    an act of its own (an insulation test, a torque wrench)."""


_V, _R = "multimeter", "milliohm meter"
_I, _T = "insulation tester", "torque wrench"
SPOTS: Final = (
    Spot("meter.known_source", _V, "known source", "V"),
    Spot("pack.voltage", _V, "pack terminals", "V", "pack"),
    Spot("bus.voltage", _V, "controller + to −", "V", "bus"),
    Spot("bus.positive_to_frame", _V, "controller + to frame", "V", "positive to frame"),
    Spot("bus.negative_to_frame", _V, "controller − to frame", "V", "negative to frame"),
    Spot("throttle.voltage", _V, "throttle signal", "V", "throttle signal"),
    Spot("lever.rest", _V, "lever signal", "V", "lever signal"),
    Spot("temperature.motor.sensor.resistance", _V, "motor sensor, unplugged", "Ω"),
    Spot("bus.resistance", _V, "ohms across the dead bus", "kΩ"),
    Spot("precharge.measured", _V, "pre-charge path", "Ω"),
    Spot("motor.back_emf", _V, "motor turned by a drill", "V"),
    Spot("bonding.case", _R, "controller case to frame", "mΩ"),
    Spot("cable.resistance", _R, "battery cables, lug to lug", "mΩ"),
    Spot("motor.winding.ab", _R, "motor cables 1 and 2", "mΩ"),
    Spot("motor.winding.bc", _R, "motor cables 2 and 3", "mΩ"),
    Spot("motor.winding.ca", _R, "motor cables 3 and 1", "mΩ"),
    Spot("meter.known_resistor", _I, "known resistor", "kΩ"),
    Spot("isolation.positive", _I, "positive to frame", "kΩ"),
    Spot("isolation.negative", _I, "negative to frame", "kΩ"),
    Spot("isolation.phases", _I, "motor winding to frame", "kΩ"),
    Spot("torque.mounting", _T, "controller's bolts", "Nm"),
    Spot("torque.terminal", _T, "power terminals", "Nm"),
    Spot("torque.axle", _T, "axle nut", "Nm"),
    Spot("temperature.ambient", "thermometer", "air of the room", "degC"),
    Spot("pack.temperature", "thermometer", "pack", "degC"),
    Spot("cable.loop_length", "tape measure", "both battery cables", "m"),
    Spot("wheel.rollout.distance", "tape measure", "three turns, rolled out", "mm"),
    Spot("chain.slack", "tape measure", "chain at its tightest", "mm"),
)
"""Where instruments can be put, by instrument."""
PROBED: Final = frozenset(spot.probe for spot in SPOTS) | {
    "throttle.voltage.released", "throttle.voltage.returned", "lever.full", "lever.returned",
    "throttle.voltage.y", "throttle.voltage.x",
}  # fmt: skip
"""Every probe that is answered by an instrument in a person's hand."""


class Instruments:
    """One instrument in hand, put to one place."""

    def __init__(self, world: World) -> None:
        """Take the instruments that the procedure needs; all of them where it names none."""
        self._world = world
        needed = {each.kind for each in world.plan.procedure.equipment}
        self.kinds = tuple(kind for kind in INSTRUMENTS if kind in needed) or INSTRUMENTS
        self.kind = self.kinds[0]
        self.spot: Spot = self.spots[0]
        self._units = units_of(world.plan)
        self._shown = ""

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Where the instrument in hand can be put."""
        return tuple(spot for spot in SPOTS if spot.kind == self.kind)

    def take(self, by: int) -> None:
        """Take the next instrument."""
        self.kind = self.kinds[(self.kinds.index(self.kind) + by) % len(self.kinds)]
        self.spot, self._shown = self.spots[0], ""

    def put(self, by: int) -> None:
        """Go on to the next place; nothing is shown before it is read there."""
        spots = self.spots
        self.spot, self._shown = spots[(spots.index(self.spot) + by) % len(spots)], ""

    def read(self) -> str:
        """Put it on and return what it shows.

        Raises:
            NothingSeenError: the bike does not let it be measured.
        """
        self._world.touched += 1
        self._shown = self._text()
        return self._shown

    @property
    def shown(self) -> str:
        """What it shows now: it follows where it lies, and keeps what was an act of its own."""
        if self._shown and self.spot.place:
            self._shown = self._text()
        return self._shown

    def _text(self) -> str:
        spot, bike = self.spot, self._world.bike
        unit = self._units.get(spot.probe, spot.unit)
        if spot.place:
            bike_reading = bike.instruments.put(self.kind, spot.place, unit)
        else:
            ask = Ask("value", spot.words, "quantity", unit, probe=spot.probe)
            step = self._open_step()
            look = Look(bike, spot.probe, ask, Asking("", "", "", (ask,)), step, self.kind)
            bike_reading = ANSWERS[spot.probe](look)
        return f"{bike_reading} {unit}"

    def _open_step(self) -> Any:  # noqa: ANN401  a step of any kind
        """Return the step in hand where it is what is measured: it names the known source."""
        world = self._world
        step = world.plan.planned(world.step).step if world.step in world.plan.index else None
        return step if step is not None and step.probe == self.spot.probe else None


def units_of(plan: Plan) -> dict[str, str]:
    """Return in which unit a procedure asks for what, by probe."""
    found: dict[str, str] = {}
    for planned in plan.steps:
        step = cast("Any", planned.step)
        if step.probe and planned.kind == "measure":
            found.setdefault(step.probe, step.unit)
    return found
