"""The first page: key, disconnector, controls, work stand, instruments, and time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError
from commission.practice.panel.rows import PlainPage, Row, Said

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.practice.bike import Bike
    from commission.practice.panel.instruments import Instruments
    from commission.practice.panel.world import World

GRIP: Final = (0, 5, 10, 15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90, 100)
"""Where the grip stops on its way, per cent of its travel."""
LEVER: Final = (0, 25, 50, 75, 100)
WAITS: Final = ((10.0, "10 s"), (60.0, "1 min"), (300.0, "5 min"), (1800.0, "30 min"))
_OPEN: Final = "open"


class HandsPage(PlainPage):
    """What hands do to the bike itself."""

    title = "At the bike"

    def __init__(self, world: World, instruments: Instruments) -> None:
        """Stand at the bike of `world`."""
        self._world = world
        self._instruments = instruments
        self._wait = 0

    @property
    def _bike(self) -> Bike:
        return self._world.bike

    def rows(self) -> tuple[Row, ...]:
        """See `Page`."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[Row]:
        bike, hands = self._bike, self._bike.hands
        yield _either("key", "Key", hands.key, ("ON", "turns it off"), ("off", "turns it on"))
        yield _either("pack", "Disconnector", bike.is_isolated,
                      (_OPEN, "connects the pack"), ("closed", "isolates the pack"))  # fmt: skip
        yield _either("drive", "Drive", hands.in_drive,
                      ("ALLOWED", "goes to neutral"), ("neutral", "allows the drive"))  # fmt: skip
        yield _turned("throttle", "Throttle grip", hands.throttle,
                      "opens it until the wheel just turns", "turn it")  # fmt: skip
        yield _either("brake", "Brake", hands.brake,
                      ("PULLED", "lets go"), ("released", "pulls it"))  # fmt: skip
        yield _either("side", "Side stand", hands.stand_out,
                      ("OUT", "swings it in"), ("in", "swings it out"))  # fmt: skip
        if bike.build.lever is not None:
            yield _turned("lever", "Regeneration lever", hands.lever, "pulls it fully", "pull it")
        yield _either("tilt", "Tilt sensor", hands.tilted,
                      ("TIPPED", "sets it upright"), ("upright", "tips it over"))  # fmt: skip
        yield _either("plug", "Throttle plug", hands.plugged,
                      ("in", "pulls it out"), ("PULLED OUT", "puts it back"))  # fmt: skip
        yield _either("stand", "Work stand", bike.on_stand,
                      ("carries the bike", "takes the bike off"),
                      ("empty", "puts the bike on it"))  # fmt: skip
        yield Row("roll", "Wheel, by hand", "", "rolls it forward")
        yield from self._meter()
        word = self._waits[self._wait % len(self._waits)][1]
        yield Row("wait", "Let time pass", word, f"waits {word}", "change it")

    def _meter(self) -> Iterator[Row]:
        tools = self._instruments
        yield Row("kind", "Instrument", tools.kind, "reads it",
                  "take another" if len(tools.kinds) > 1 else "")  # fmt: skip
        yield Row("spot", "  put on", tools.spot.words, "reads it", "change the place")

    def enter(self, row: str) -> Said:
        """See `Page`."""
        self._world.now_s()
        self._world.touched += 1
        return self._enter[row](self)

    def turn(self, row: str, by: int) -> Said:
        """See `Page`."""
        self._world.now_s()
        self._world.touched += 1
        if row == "kind":
            self._instruments.take(by)
        elif row == "spot":
            self._instruments.put(by)
        elif row == "wait":
            self._wait = (self._wait + by) % len(self._waits)
        elif row == "throttle":
            return self._twist(_next(GRIP, 100 * self._bike.hands.throttle, by))
        elif row == "lever":
            self._bike.lever(_next(LEVER, 100 * self._bike.hands.lever, by) / 100)
        return Said()

    @property
    def _waits(self) -> tuple[tuple[float, str], ...]:
        left = self._world.timer_s
        return ((left + 1.0, "until the timer is over"), *WAITS) if left > 0 else WAITS

    def _key(self) -> Said:
        on = not self._bike.hands.key
        self._bike.key(on=on)
        if on and not self._bike.display_on:
            return Said("Nothing lights up.")
        return Said("" if on or not self._bike.display_on else "The display stays lit.")

    def _pack(self) -> Said:
        bike = self._bike
        if not bike.is_isolated:
            bike.isolate()
            return Said("Key off, the disconnector's handle is open.")
        bike.connect()
        if bike.destroyed:
            return Said("A BANG, and smoke from the controller.")
        inrush = bool(bike.events) and bike.events[-1].kind == "inrush"
        return Said("A loud CRACK at the main contact." if inrush else "The main contact clicks.")

    def _drive(self) -> Said:
        self._bike.drive_mode(allowed=not self._bike.hands.in_drive)
        return Said()

    def _throttle(self) -> Said:
        if self._bike.hands.throttle > 0:
            return self._twist(0)
        for percent in GRIP[1 : GRIP.index(40)]:
            said = self._twist(percent)
            moves = self._bike.motion()
            if moves.turns or moves.manner == "jerks":
                return said if said.text else Said(f"It moves at {percent} %.")
        return Said("Opened to a third.")

    def _twist(self, percent: int) -> Said:
        bike = self._bike
        bike.throttle(percent / 100)
        if bike.motion().turns and not bike.on_stand:
            bike.note("off the stand", "The wheel turned under power off the work stand.")
            return Said("The bike lunges: it does not stand on the work stand!")
        sticks = percent == 0 and bike.hands.throttle > 0
        return Said("The grip does not come back fully." if sticks else "")

    def _brake(self) -> Said:
        self._bike.brake(pulled=not self._bike.hands.brake)
        return Said()

    def _side(self) -> Said:
        self._bike.side_stand(out=not self._bike.hands.stand_out)
        return Said()

    def _lever(self) -> Said:
        self._bike.lever(0.0 if self._bike.hands.lever > 0 else 1.0)
        return Said()

    def _tilt(self) -> Said:
        self._bike.tilt(tipped=not self._bike.hands.tilted)
        return Said()

    def _plug(self) -> Said:
        self._bike.unplug_throttle(unplugged=self._bike.hands.plugged)
        return Said()

    def _stand(self) -> Said:
        if self._bike.on_stand:
            self._bike.on_stand = False
            return Said("The bike stands on its wheels.")
        held = self._bike.stand()
        return Said("It stands firm." if held else "It does NOT hold: the stand points give way.")

    def _roll(self) -> Said:
        bike = self._bike
        if bike.display_on and bike.hands.in_drive:
            bike.note("hands at the wheel", "Hands were at a wheel that was free to be driven.")
        turns = "It turns freely" if bike.wheel_by_hand() == "free" else "It DRAGS"
        shown = {1: "; the speed counts up", -1: "; the speed shows MINUS", 0: ""}
        lit = "; no speed is shown" if bike.display_on and bike.speed_sign() == 0 else ""
        return Said(f"{turns}{shown[bike.speed_sign()]}{lit}.")

    def _read(self) -> Said:
        try:
            self._instruments.read()
        except CommissionError as error:
            return Said(error.message)
        return Said()

    def _pass(self) -> Said:
        seconds, word = self._waits[self._wait % len(self._waits)]
        self._world.wait(seconds)
        self._wait = 0
        return Said("The timer is over." if word.startswith("until") else f"{word} later.")

    _enter: Final[dict[str, Callable[[HandsPage], Said]]] = {
        "key": _key, "pack": _pack, "drive": _drive, "throttle": _throttle, "brake": _brake,
        "side": _side, "lever": _lever, "tilt": _tilt, "plug": _plug, "stand": _stand,
        "roll": _roll, "kind": _read, "spot": _read, "wait": _pass,
    }  # fmt: skip


def _next(stops: tuple[int, ...], now: float, by: int) -> int:
    """Return the stop after `now`, up or down; the last one where there is no further one."""
    beyond = [stop for stop in stops if (stop > now + 0.5 if by > 0 else stop < now - 0.5)]
    if not beyond:
        return stops[-1] if by > 0 else stops[0]
    return min(beyond) if by > 0 else max(beyond)


def _either(
    name: str, label: str, stands: object, so: tuple[str, str], not_so: tuple[str, str]
) -> Row:
    """Return the row of what is one way or the other: how it stands, and what Enter does then."""
    return Row(name, label, *(so if stands else not_so))


def _turned(name: str, label: str, share: float, does: str, turns: str) -> Row:
    """Return the row of a grip or lever: how far it is turned; Enter lets it go again."""
    return Row(name, label, f"{round(100 * share)} %", "lets go" if share > 0 else does, turns)
