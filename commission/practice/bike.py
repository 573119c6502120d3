"""One virtual bike: what a person can do to it, and what can then be seen. Mutable, with a clock.

Nothing here knows of procedures. Simulated time passes by `wait` and by what takes time in life
(a detection run, a ride). Values are SI; what an instrument shows is the text it shows.

to do      `wait`; `stand`, `isolate`, `connect`, `key`; `drive_mode`, `throttle`,
           `unplug_throttle`, `lever`, `brake`, `side_stand`, `tilt`; `twist_until_it_turns`;
           `cooling`, `ride`, `agree`;
           in the controller's `program`: `connect`, `enter`, `detect`, `raise_detection_current`,
           `update_firmware`; `controller.fetch`, `controller.read`
to see     `display` (what it shows), `motion` (what the wheel does), `wheel_by_hand`,
           `is_isolated` (the handle, not the circuit), `instruments` (`put` at a place of
           `places.PLACES`), `speed_sign`, `destroyed` (the smoke)
to judge   `events`, `first_power_at_wheel_s`, `bus_voltage` and other truths; not for whoever works
"""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING, Any, Final, Literal

from commission.practice import display, drive
from commission.practice.bus_state import BusState
from commission.practice.controller import Controller
from commission.practice.drive import Hands, Motion
from commission.practice.events import Event
from commission.practice.instruments import Instruments
from commission.practice.physics import heat, levers, pack
from commission.practice.program import Program

if TYPE_CHECKING:
    from commission.practice.build import Build, SettingValue
    from commission.practice.display import Display, Moves
    from commission.practice.events import Kind

PATIENCE_S: Final = 30.0
"""How long anybody waits for a pre-charge; no source."""
HOLD_UP_S: Final = 3.0
"""How long the processor goes on after the key, from its own capacitors; no source."""
PROCESSOR_DEAD_V: Final = 12.0
"""Bus voltage below which nothing in the controller is supplied; no source."""
DANGEROUS_V: Final = 60.0
"""D.c. voltage above which a touch is dangerous (voltage class B, ISO 6469-3; from memory)."""

Stage = Literal["half power", "full power"]


class Bike:
    """See the module. `build` is how it truly is; `seed` decides noise and nothing else."""

    build: Build
    hands: Hands
    source: float
    """The known source on the bench, V."""

    def __init__(self, build: Build, seed: int = 0) -> None:
        self.build = build
        self.random = Random(seed)  # noqa: S311  noise, no secret
        self.now_s = 0.0
        self.controller = Controller(build.controller.storage)
        self.hands = Hands()
        self.events: list[Event] = []
        self.first_power_at_wheel_s: float | None = None
        self.step = ""
        """The step in hand, for the events; whoever leads sets it."""
        self.on_stand = False
        self.source = 9.0
        self.destroyed = False
        """The controller, by reversed polarity."""
        self._bus = BusState(build, voltage=pack.open_voltage(build.pack))
        self._key_off_s = -HOLD_UP_S
        self._mode: SettingValue | None = None
        self.motor_temperature = build.temperature.ambient
        """The motor's true temperature, K."""
        self.program = Program(self)
        self.instruments = Instruments(self)

    # Time and power

    def wait(self, seconds: float) -> None:
        """Let simulated time pass."""
        if seconds > 0.0:
            self.now_s += seconds

    @property
    def is_isolated(self) -> bool:
        """Whether the disconnector stands open, as seen on its handle."""
        return self._bus.handle_open

    @property
    def bus_voltage(self) -> float:
        """The true voltage between the bus terminals, V."""
        return self._bus.voltage(self.now_s)

    @property
    def display_on(self) -> bool:
        """Whether the display is lit: power is there, the key on or unable to switch off."""
        key = self.hands.key or (not self.build.switches.key_works and self._mode is not None)
        return key and self.bus_voltage > PROCESSOR_DEAD_V and not self.destroyed

    def stand(self) -> bool:
        """Put the bike on its work stand; return whether the stand holds it."""
        self.on_stand = self.build.driveline.stand_holds
        return self.on_stand

    def isolate(self) -> None:
        """Open the disconnector with the key off."""
        if self.hands.key:
            self.key(on=False)
        self._bus.open(self.now_s)

    def connect(self) -> None:
        """Close the disconnector through the pre-charge, as its makers meant it."""
        if not self._bus.handle_open:
            return
        went_dead = abs(self.bus_voltage) < PROCESSOR_DEAD_V
        if self.build.pack.reversed_poles:
            self.destroyed = True
            self.note("reversed polarity", "The pack was connected the wrong way round.")
        if went_dead and self._bus.closes_hard:
            self.note("inrush", "The main contact closed on empty capacitors.")
        self._bus.close(self.now_s)
        self.wait(min(PATIENCE_S, 5.0 * self._bus.precharge_time))
        if went_dead:
            self._lose_power(cold=True)

    def key(self, *, on: bool) -> None:
        """Turn the key; a processor that was off long enough starts from what is stored."""
        if on == self.hands.key:
            return
        self.hands = replace(self.hands, key=on, throttle=0.0 if not on else self.hands.throttle)
        if not on:
            self._key_off_s = self.now_s
            return
        if self.build.switches.key_works and self.now_s - self._key_off_s >= HOLD_UP_S:
            self._lose_power(cold=False)
        if not self.display_on:
            return
        self._mode = self.controller.obeyed("startup_mode")
        if self.first_power_at_wheel_s is None:
            self.first_power_at_wheel_s = self.now_s
            self.note("power at the wheel", "From here on the wheel can turn under power.")
        self.motion()

    # Controls

    def drive_mode(self, *, allowed: bool) -> None:
        """Set gear or switch to drive, or to neutral."""
        self._set(in_drive=allowed)

    def throttle(self, share: float) -> None:
        """Turn the grip to a share of its travel; let go, a grip may not come back."""
        grip = self.build.throttle
        rests = levers.let_go(grip, self.hands.throttle)
        self._set(throttle=max(share, rests) if share < self.hands.throttle else share)

    def unplug_throttle(self, *, unplugged: bool = True) -> None:
        """Pull the plug of the throttle's signal, or put it back."""
        self._set(plugged=not unplugged)

    def lever(self, share: float) -> None:
        """Pull the regeneration lever to a share of its travel."""
        self._set(lever=share)

    def brake(self, *, pulled: bool) -> None:
        """Pull or release the brake."""
        self._set(brake=pulled)

    def side_stand(self, *, out: bool) -> None:
        """Swing the side stand out or in."""
        self._set(stand_out=out)

    def tilt(self, *, tipped: bool) -> None:
        """Hold the tilt sensor tipped over, or upright."""
        self._set(tilted=tipped)

    # What the wheel does

    def motion(self) -> Motion:
        """Return what the wheel does now, and keep what it did in the events."""
        if not self.display_on:
            return Motion("does not turn", refused="no power")
        seen = drive.motion(self.build, self.controller, self.hands, self.bus_voltage)
        if seen.sense == "backward":
            self.note("backward under power", "The wheel turned backward under power.")
        if seen.turns and (self.hands.throttle <= 0.0 or not self.hands.plugged):
            self.note("runs away", "The wheel turned under power that nobody asked for.")
        return seen

    def twist_until_it_turns(self) -> Motion:
        """Open the throttle slowly, up to a third, until the wheel turns; then let go."""
        seen = self.motion()
        for share in range(5, 35, 5):
            if seen.turns or seen.refused:
                break
            self.throttle(share / 100.0)
            seen = self.motion()
        self.throttle(0.0)
        return seen

    def wheel_by_hand(self) -> Literal["free", "drags"]:
        """Return how the wheel turns by hand."""
        return "drags" if self.build.driveline.drags else "free"

    def display(self) -> Display | None:
        """Return what the display shows; None where it is dark."""
        return display.of(self)

    def cooling(self) -> Moves:
        """Switch the cooling outputs on and return what pump and fan do."""
        return display.cooling(self.build, self.controller)

    def shown_temperature(self, of: Literal["motor", "controller"]) -> float | None:
        """Return a temperature as displayed, K; None where nothing is displayed."""
        return display.temperature(self, of) if self.display_on else None

    def mode_shown(self) -> SettingValue | None:
        """Return the mode that the display showed when it was last switched on."""
        return self._mode if self.display_on else None

    def speed_sign(self) -> int:
        """Return the sign of the speed shown when the wheel is rolled forward; 0 where none."""
        return drive.shown_sense(self.build, self.controller) if self.display_on else 0

    def at_terminals(self) -> None:
        """Put hands to the power terminals, which proved dead."""
        if abs(self.bus_voltage) > DANGEROUS_V:
            self.note("live contact", f"Hands were at terminals with {self.bus_voltage:.0f} V.")

    def agree(self, top_speed: float) -> None:
        """Have the owner (or who rides) agree to another top speed than declared, m/s."""
        owner = replace(self.build.owner, declared_speed=top_speed)
        self.build = replace(self.build, owner=owner)

    # On the road

    def ride(self, stage: Stage) -> None:
        """Ride a stage of the test, which warms the motor and takes its time."""
        ride = heat.HALF_POWER if stage == "half power" else heat.FULL_POWER
        share = abs(drive.how_it_runs(self.build, self.controller).mean)
        start = self.motor_temperature
        self.motor_temperature = heat.motor_after(self.build, ride, start, max(share, 0.05))
        self.wait(ride.seconds)

    def note(self, kind: Kind, what: str) -> None:
        """Keep an event, once for each step."""
        if not any(each.kind == kind and each.step == self.step for each in self.events):
            self.events.append(Event(self.now_s, self.step, kind, what))

    def _set(self, **changed: Any) -> None:  # noqa: ANN401  a field of Hands
        self.hands = replace(self.hands, **changed)
        self.motion()

    def _lose_power(self, *, cold: bool) -> None:
        self.controller.power_lost(cold=cold)
        if cold:
            self.program.detection_current = 1.0
