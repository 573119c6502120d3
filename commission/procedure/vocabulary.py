"""The probes: what a step can observe of a bike, and the words by which options are understood.

A virtual bike answers by these names, and any procedure that uses them can be tried on it. An
option of a step is understood by the words it holds: the first outcome, in the order given here, of
whose words one begins a word of the option. Where a step has no option for what was seen, that of
a likely `instead` counts.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.procedure.model import Valued

Sort = Literal["number", "choice", "text", "done", "file", "settings"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that can be seen."""

    name: str
    words: tuple[str, ...]
    """Beginnings of words, in lower case; one of them in an option makes it this outcome."""
    instead: tuple[str, ...] = ()
    """Outcomes that a person would choose where the options hold no better one."""


@dataclass(frozen=True, slots=True)
class Probe:
    """One physical fact that a step can observe."""

    name: str
    what: str
    sort: Sort = "number"
    outcomes: tuple[Outcome, ...] = ()
    """Of a choice, in the order in which options are tried."""


def _choice(name: str, what: str, *outcomes: Outcome) -> Probe:
    return Probe(name, what, "choice", outcomes)


_CUT: Final = (
    Outcome("goes on", ("goes on", "continues", "keeps", "no effect")),
    Outcome("cuts out", ("cut", "stop", "off", "refus")),
)
_SWITCHES: Final = ("brake", "stand", "tilt")

_CHOICES: Final = (
    _choice("bike.borrower", "whose limits are asked for",
            Outcome("borrower", ("borrow", "for a borrower")), Outcome("owner", ("owner",))),
    _choice("bike.wanted_mode", "the mode in which the bike is to start",
            Outcome("low", ("low", "eco", "slow")), Outcome("high", ("high", "sport", "fast")),
            Outcome("normal", ("normal", "standard", "middle"))),
    _choice("handover.time", "whether there is time for more",
            Outcome("yes", ("yes",)), Outcome("no", ("no",))),
    _choice("pack.condition", "how a pack looks from outside",
            Outcome("damaged", ("swollen", "dent", "wet", "corro", "smell", "leak", "damage")),
            Outcome("sound", ("sound", "good", "dry"))),
    _choice("power.off_seen", "the display after the key was turned off",
            Outcome("lit", ("stay", "lit", "on")), Outcome("dark", ("dark", "off", "out"))),
    _choice("rotor.mounting", "the rotor-sensor board under a finger",
            Outcome("moves", ("move", "loose", "shift")), Outcome("firm", ("firm", "tight"))),
    _choice("rotor.plug", "the plug of the rotor sensors, opened",
            Outcome("wet", ("wet", "corro", "dirt"), ("bent", "chafed")),
            Outcome("bent", ("bent", "pushed"), ("wet", "chafed")),
            Outcome("chafed", ("chafe", "cable", "broken"), ("wet", "bent")),
            Outcome("dry", ("dry", "seated", "sound", "good"))),
    _choice("terminal.marks", "the marks across the washers of the terminals",
            Outcome("unbroken", ("unbroken", "whole", "line")),
            Outcome("broken", ("one broken", "several", "broken", "turned"))),
    _choice("bike.use", "where the owner wants to ride",
            Outcome("closed", ("closed", "private", "track", "off-road")),
            Outcome("road", ("road", "street", "public"))),
    _choice("bike.startup_mode", "the mode shown after switching on",
            Outcome("low", ("low", "eco", "slow")), Outcome("high", ("high", "sport", "fast")),
            Outcome("normal", ("normal", "standard", "middle"))),
    _choice("cooling.path", "the way of the cooling air",
            Outcome("blocked", ("block", "cover", "closed", "dirty")),
            Outcome("clear", ("clear", "free", "open"))),
    _choice("cooling.running", "pump and fan, switched on",
            Outcome("wrong way", ("wrong", "backward", "dry"), ("still",)),
            Outcome("still", ("stand", "still", "nothing", "does not"), ("wrong way",)),
            Outcome("right way", ("right", "move", "run"))),
    _choice("handover.open_items", "open items left in the job",
            Outcome("grade A", ("grade a",)), Outcome("grade B", ("grade b", "only grade b")),
            Outcome("none", ("none", "no open"))),
    *(_choice(f"interlock.{each}", f"the drive when the {each} switch says stop", *_CUT)
      for each in _SWITCHES),
    _choice("isolation.topology", "whether the motor's side shares the bus",
            Outcome("separate", ("separate",)), Outcome("combined", ("combined", "shared"))),
    _choice("motor.run", "the wheel run unloaded at a third of the throttle",
            Outcome("does not turn", ("does not", "stands", "nothing"), ("jerks", "rough")),
            Outcome("jerks", ("jerk", "stutter", "twitch"), ("rough",)),
            Outcome("rough", ("rough", "loud", "knock", "vibrat", "cog", "uneven"), ("jerks",)),
            Outcome("smooth", ("smooth", "even", "quiet"))),
    _choice("motor.sense", "the direction setting under which forward counts as forward",
            Outcome("reversed", ("revers", "invert", "backward")),
            Outcome("normal", ("normal", "standard", "forward"))),
    _choice("motor.speed_sign", "the speed shown when the wheel is rolled forward",
            Outcome("negative", ("negative", "minus", "backward")),
            Outcome("none", ("none", "nothing", "zero", "no speed", "jump")),
            Outcome("positive", ("positive", "plus", "forward"))),
    _choice("ride.walking_pace", "a ride at walking pace",
            Outcome("cuts out", ("cut", "stop"), ("surges",)),
            Outcome("surges", ("surge", "jerk", "rough", "stutter"), ("cuts out",)),
            Outcome("backward", ("roll", "backward"), ("surges",)),
            Outcome("true", ("runs true", "true", "smooth", "even", "clean"))),
    _choice("temperature.motor.fitted", "whether a temperature sensor comes out of the motor",
            Outcome("not fitted", ("not", "none", "no", "nothing")),
            Outcome("fitted", ("fitted", "there", "yes", "sensor"))),
    _choice("throttle.unplugged", "the drive when the throttle's signal is lost",
            Outcome("refused", ("refus", "fault", "cut", "stop")),
            Outcome("ready", ("ready", "stays"), ("turns",)),
            Outcome("turns", ("turn", "run", "goes on"), ("ready",))),
    _choice("wheel.at_rest", "the wheel with key on and throttle released",
            Outcome("still", ("still", "does not", "nothing")),
            Outcome("twitches", ("twitch", "jerk", "jump"), ("turns",)),
            Outcome("turns", ("turn", "run", "spin", "creep"), ("twitches",))),
    _choice("wheel.direction", "the wheel under power at the smallest throttle",
            Outcome("does not turn", ("does not", "stands", "still", "nothing")),
            Outcome("backward", ("backward", "revers", "wrong")),
            Outcome("forward", ("forward", "right"))),
    _choice("wheel.free", "the wheel turned by hand",
            Outcome("touches", ("touch", "rub", "scrape"), ("drags",)),
            Outcome("drags", ("drag", "heav", "stiff", "bind"), ("touches",)),
            Outcome("free", ("free", "turns"))),
)  # fmt: skip

_NUMBERS: Final = {
    "bike.wanted_share": "the share of the current limits in the low mode that is asked for",
    "bike.wanted_speed": "the top speed that is asked for",
    "chain.slack": "slack of the chain at its tightest place",
    "gearing.ratio": "turns of the motor counted in one turn of the wheel",
    "ride.display_speed": "the speed displayed at the highest road speed",
    "ride.time": "how long the bike was ridden since the last job",
    "rotor.sequence.states": "states of the three sensors in one electrical turn by hand",
    "throttle.voltage.returned": "signal of the throttle let go from full",
    "torque.axle": "torque at which the axle nut clicks",
    "bike.declared_speed": "the top speed that the owner declares",
    "bonding.case": "resistance from the controller's case to the frame",
    "bus.negative_to_frame": "voltage from the negative bus terminal to the frame",
    "bus.positive_to_frame": "voltage from the positive bus terminal to the frame",
    "bus.resistance": "resistance between the dead bus terminals",
    "bus.voltage": "voltage between the bus terminals",
    "cable.area": "cross-section printed on the battery cable",
    "cable.loop_length": "length of both battery conductors together",
    "cable.resistance": "resistance of both battery cables, measured from lug to lug",
    "fuse.rating": "rated current printed on the fuse",
    "fuse.voltage": "rated d.c. voltage printed on the fuse",
    "gearing.driven_teeth": "teeth of the wheel's sprocket",
    "gearing.driving_teeth": "teeth of the motor's sprocket",
    "isolation.negative": "insulation of the negative conductor to the frame",
    "isolation.phases": "insulation of the unplugged motor's winding to the frame",
    "isolation.positive": "insulation of the positive conductor to the frame",
    "lever.full": "signal of the regeneration lever fully pulled",
    "lever.rest": "signal of the regeneration lever released",
    "lever.returned": "signal of the lever after it was pulled fully and let go",
    "meter.known_resistor": "a resistor of 1 MΩ that the insulation tester is proved on",
    "meter.known_source": "the known source the meter is proved on",
    "motor.back_emf": "voltage (rms) between two motor cables, turned at 500 r/min by a drill",
    "motor.pole_pairs": "electrical turns in one turn of the motor",
    "motor.winding.ab": "resistance between the first and the second motor cable",
    "motor.winding.bc": "resistance between the second and the third motor cable",
    "motor.winding.ca": "resistance between the third and the first motor cable",
    "pack.series": "groups of cells in series, counted",
    "pack.temperature": "temperature of the pack",
    "pack.voltage": "voltage at the pack's contacts; its sign is the polarity",
    "precharge.resistance": "resistance printed on the pre-charge resistor",
    "precharge.measured": "resistance of the pre-charge path, measured",
    "ride.full_power": "motor temperature shown after three full-power runs",
    "ride.half_power": "motor temperature shown after five minutes at half power",
    "ride.speed": "highest road speed by satellite",
    "sensor.angle": "one sensor's angle of one detection run; the column ends in its number",
    "temperature.ambient": "temperature of the room",
    "temperature.controller": "the controller's temperature as displayed",
    "temperature.motor": "the motor's temperature as displayed",
    "temperature.motor.sensor.resistance": "resistance of the unplugged motor sensor",
    "throttle.voltage": "signal of the throttle at a share of its travel",
    "throttle.voltage.released": "signal of the throttle released",
    "torque.mounting": "torque at which the mounting bolts click",
    "torque.terminal": "torque at which the power terminals click",
    "wheel.rollout.distance": "distance rolled in a number of turns",
    "wheel.rollout.turns": "how many turns were rolled",
    "wheel.top_speed": "speed of the wheel at full throttle on the stand, by a tachometer",
}

_ACTS: Final = {
    "bike.off_stand": "take the bike off its stand",
    "bike.tagged": "hang a tag on the handlebar",
    "controller.exchanged": "put a controller in the place of another",
    "controller.update": "load other firmware",
    "controller.update.way_back": "have the present firmware's file at hand",
    "drive.allowed": "allow the drive in the software",
    "drive.inhibited": "inhibit the drive in the software",
    "handover.diary": "write a day into the workshop's diary",
    "handover.sheet": "write a route into the controller sheet",
    "pack.fitted": "fix a pack in the frame",
    "pack.taken_out": "lift a pack out of the frame",
    "power.off": "switch the key off",
    "power.on": "switch the key on",
    "bike.on_stand": "stand the bike on its work stand",
    "bike.ready": "walk round the bike",
    "detection.current": "raise the detection current by a quarter",
    "handover.told": "tell the limits to who takes the bike",
    "pack.connected": "connect the pack through its pre-charge",
    "pack.isolated": "open the pack's disconnector with the key out",
    "power.cold": "take all power away",
    "power.key": "switch the key off and on",
}

_TEXTS: Final = {
    "bike.asked": "who asked for what, in words",
    "bike.told": "what the rider says",
    "controller.update.file": "what a firmware file says of itself: name, version",
    "bike.identity": "numbers on parts: frame, controller, removed, motor, pack",
    "controller.session": "what the software reads: serial, version; program",
}

_FILES: Final = {
    "bike.photos": "photographs",
    "file.as_found": "the settings as found, as a file",
    "file.as_left": "the settings as left, as a file",
}

PROBES: Final = {
    probe.name: probe
    for probe in sorted(
        (
            *_CHOICES,
            *(Probe(name, what) for name, what in _NUMBERS.items()),
            *(Probe(name, what, "done") for name, what in _ACTS.items()),
            *(Probe(name, what, "text") for name, what in _TEXTS.items()),
            *(Probe(name, what, "file") for name, what in _FILES.items()),
            Probe("setting", "the controller's settings as read in it", "settings"),
        ),
        key=lambda probe: probe.name,
    )
}
"""Every probe by its name."""

SETTING_WORDS: Final = {
    "direction": PROBES["motor.sense"].outcomes,
    "startup_mode": PROBES["bike.startup_mode"].outcomes,
}
"""Settings that are choices and that the bike obeys: their values and the words for them."""


def outcome_of(outcomes: Iterable[Outcome], option: str) -> Outcome | None:
    """Return which outcome an option stands for; None where no word of it is known.

    A word after a no or a not does not count, unless it begins with that no itself.
    """
    text = option.casefold()
    denial = _DENIAL.search(text)
    for outcome in outcomes:
        for found in _pattern(outcome.words).finditer(text):
            if denial is None or found.start() <= denial.start() or _DENIAL.search(found[0]):
                return outcome
    return None


def option_for(outcomes: tuple[Outcome, ...], seen: str, options: Iterable[str]) -> str | None:
    """Return the option that a person who sees `seen` would choose; None where none fits."""
    meant = {option: outcome_of(outcomes, option) for option in options}
    wanted = next((each for each in outcomes if each.name == seen), None)
    for name in (seen, *(() if wanted is None else wanted.instead)):
        for option, outcome in meant.items():
            if outcome is not None and outcome.name == name:
                return option
    return None


_DENIAL: Final = re.compile(r"\b(?:no|not|never|without)\b")


@functools.cache
def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(rf"\b{re.escape(word)}" for word in words))


def role_of(valued: Valued) -> str:
    """Return by which name a bike knows a fact or a setting: its probe's, or its own id."""
    return valued.id if valued.probe is None else valued.probe.rpartition(".")[2]
