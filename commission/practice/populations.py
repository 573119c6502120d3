"""Jobs of made-up people on virtual bikes: honest ones, and careless ones of several kinds.

An autopilot takes its time by a fixed count; people do not. Here each entry takes, beside what the
bike takes, a lognormal time of the person's pace: assumed, not observed, and said so wherever a
figure rests on it. The same seed gives the same job.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import exp, log
from random import Random
from typing import TYPE_CHECKING, Final

from commission.job.advance import replay
from commission.job.entry import Clock, Entry
from commission.practice.autopilot import Autopilot
from commission.practice.bike import Bike
from commission.practice.desk import CREW, TECHNICIAN, Desk
from commission.practice.habits import CONFIRMS, COPIES, HONEST, HURRIES, Habits
from commission.practice.physics.varied import sound_build
from commission.practice.run import arriving

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.job.entry import Draft
    from commission.job.plan import Plan
    from commission.job.state import JobState

_LOOKING: Final = frozenset({"part", "answered"})
_SPREAD: Final = 0.6
"""Of the logarithm of a time: two in three lie within a factor of 1.8 of the median."""
_WAITS: Final = frozenset({"dwell", "power_cycle"})
"""Kinds whose waits are kept by the tool; nobody can type them away."""


@dataclass(frozen=True, slots=True)
class Hand:
    """One kind of person."""

    name: str
    what: str
    """In words."""
    habits: Habits = HONEST
    look_s: float = 8.0
    """Median time for an answer, beside what reading takes by itself."""
    witness_s: float = 25.0
    """Median time from an answer to its confirmation."""
    typed_later: bool = False
    """The readings are honest and typed in one go afterwards, as fast as waits allow."""
    own_witness: bool = False
    """Always asks the same person to confirm."""
    repeats: bool = False
    """Types the readings of an earlier bike again."""


HANDS: Final = (
    Hand("honest", "measures, looks, takes time; the witness looks, too"),
    Hand("confirms", "confirms without looking", CONFIRMS, 0.5, 1.0),
    Hand("copies", "copies the last reading or types what is expected", COPIES, 0.5, 1.0),
    Hand("hurries", "skips what it can of waits; measures", HURRIES, 1.0, 1.5),
    Hand("back-fills", "works honestly and types it all in afterwards", typed_later=True,
         witness_s=1.0),
    Hand("one-witness", "honest, but always has the same witness, who signs at once",
         witness_s=1.0, own_witness=True),
    Hand("repeats", "types the readings of an earlier bike again", repeats=True, look_s=1.0),
)  # fmt: skip
WITNESSES: Final = ("Jon Aster", "Noor Vale", "Pim Okoro")


@dataclass(frozen=True, slots=True)
class Made:
    """One job that was made."""

    entries: tuple[Entry, ...]
    state: JobState


@dataclass
class _PacedDesk(Desk):
    """A desk at which each entry takes a person's time before it is made."""

    pause: Callable[[Draft], None] = lambda _: None

    def record(self, drafts: Iterable[Draft]) -> JobState:
        """See `Job.record`."""
        wanted = tuple(drafts)
        if wanted:
            self.pause(wanted[0])
        return super().record(wanted)


def job(plan: Plan, hand: Hand, person: int, number: int) -> Made:
    """Return one job of a person on a bike of its own.

    Args:
        plan: of the procedure.
        hand: how the person works.
        person: which one; each has a name.
        number: which of the person's jobs.
    """
    seed = 1000 * person + number
    looked_at = 1000 * person if hand.repeats else seed
    bike = Bike(arriving(plan, sound_build(looked_at)), looked_at)
    dice = Random(f"{hand.name} {seed}")  # noqa: S311  simulation
    desk = _desk(plan, bike, hand, dice, seed)
    Autopilot(desk, bike, hand.habits).work()
    entries = _named(desk.entries, hand, person, seed, dice)
    entries = _shifted(entries, days=number)
    if hand.typed_later:
        entries = _typed_later(entries, plan, dice)
    return Made(entries, replay(plan, entries))


def name_of(hand: Hand, person: int) -> str:
    """Return a made-up person's name."""
    return f"Person {person + 1} ({hand.name})"


def _desk(plan: Plan, bike: Bike, hand: Hand, dice: Random, seed: int) -> Desk:
    known = {"frame": bike.build.identity.get("frame", "PRACTICE"), "model": "virtual bike"}
    opened = Desk.open(plan, lambda: bike.now_s, known, seed)

    def pause(draft: Draft) -> None:
        if draft.kind == "hold_confirmed":
            bike.wait(_time(hand.witness_s, dice))
        else:
            share = 1.0 if draft.kind in _LOOKING else 0.3
            bike.wait(_time(share * hand.look_s, dice))

    return _PacedDesk(opened.state, opened.seconds, opened.entries, pause)


def _time(median: float, dice: Random) -> float:
    return exp(dice.gauss(log(median), _SPREAD))


def _named(
    entries: Iterable[Entry], hand: Hand, person: int, seed: int, dice: Random
) -> tuple[Entry, ...]:
    """Return the entries by this person, confirmed by one of the witnesses."""
    witness = WITNESSES[person % len(WITNESSES)] if hand.own_witness else dice.choice(WITNESSES)
    names = {TECHNICIAN: name_of(hand, person), WITNESSES[0]: witness}
    people = [{"name": names.get(name, name), "roles": list(roles)} for name, roles in CREW.items()]

    def renamed(entry: Entry) -> Entry:
        body = {**entry.body, "people": people} if entry.kind == "opened" else entry.body
        stream = f"practice-{seed}"
        return replace(entry, stream=stream, by=names.get(entry.by, entry.by), body=body)

    return tuple(map(renamed, entries))


def _shifted(entries: Iterable[Entry], days: int) -> tuple[Entry, ...]:
    return tuple(_moved(entry, days * 86_400.0) for entry in entries)


def _typed_later(entries: tuple[Entry, ...], plan: Plan, dice: Random) -> tuple[Entry, ...]:
    """Return the entries with every gap replaced by the time that typing takes, waits kept."""
    found, back, last = [], 0.0, entries[0].clock.ns
    for entry in entries:
        gap = (entry.clock.ns - last) / 1e9
        last = entry.clock.ns
        waits = entry.step is not None and plan.planned(entry.step).kind in _WAITS
        if gap > 0.0 and not waits:
            back += gap - min(gap, dice.uniform(1.0, 3.0))
        found.append(_moved(entry, -back))
    return tuple(found)


def _moved(entry: Entry, seconds: float) -> Entry:
    at = datetime.fromisoformat(entry.at) + timedelta(seconds=seconds)
    text = f"{at.replace(tzinfo=None).isoformat(timespec='microseconds')}Z"
    clock = Clock(entry.clock.boot, entry.clock.ns + round(seconds * 1e9))
    return replace(entry, at=text, clock=clock)
