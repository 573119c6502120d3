"""A workshop made by real means: its register, its instruments, forty jobs signed at its bench.

Everything stands in a store as the tool itself writes it. Only the hands are made up: robots on
virtual bikes, some honest, some careless, on a calendar of their own. `planted` says where what was
done on purpose lies, by the check that has to find it.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from math import exp, log
from random import Random
from typing import TYPE_CHECKING, Any, Final

from commission.errors import UnsignedError
from commission.job import moves
from commission.job.failing import waits_for_concession
from commission.job.instrument import kind_read_with
from commission.job.moves_instruments import InstrumentError, concede_instrument
from commission.practice.autopilot import Autopilot
from commission.practice.bike import Bike
from commission.practice.faults import apply, shipped
from commission.practice.physics.varied import sound_build
from commission.practice.populations import HANDS, Hand
from commission.practice.recorded import keeper
from commission.practice.run import arriving
from commission.procedure import load
from commission.record import enrolling
from commission.record.bench import Bench
from commission.record.clocks import Clocks, to_us
from commission.record.enrolling import Wanted
from commission.register import instrument_moves, procedures

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from commission.job.entry import Draft, Instant
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.procedure.load import Loaded
    from commission.record.session import Session

BEGAN: Final = "2025-03-03T08:00:00.000000Z"
DAY_S: Final = 86_400.0
HAND: Final = {hand.name: hand for hand in HANDS}
LEAD: Final = "Mara Quill"
CREW: Final[Mapping[str, tuple[str, ...]]] = {
    LEAD: ("lead", "witness"),
    "Rika Holt": ("technician",),
    "Jon Aster": ("technician",),
    "Noor Vale": ("witness",),
    "Pim Okoro": ("witness",),
    "Ada Nwosu": ("auditor",),
    "Ben Ito": ("auditor",),
}
"""A lead, two technicians, two witnesses, two auditors; each with a key."""
OVERDUE_FROM: Final = "2025-05-31"
SHORT: Final = "4711"
_SPREAD: Final = 0.6
_WAITS: Final = frozenset({"dwell", "power_cycle"})


def passphrase(name: str) -> str:
    """Return somebody's passphrase."""
    return f"correct horse battery {name.split(maxsplit=1)[0].lower()}"


@dataclass
class Calendar:
    """The workshop's clock: it stands still between jobs and runs with the bike during one."""

    day: int = 0
    bike: Bike | None = None
    back_s: float = 0.0
    """How much less time passed for whoever types it all in afterwards."""
    wrong_s: float = 0.0
    """How far the wall clock is set wrong."""

    @property
    def seconds(self) -> float:
        """Since the workshop began."""
        worked = 0.0 if self.bike is None else self.bike.now_s - self.back_s
        return self.day * DAY_S + worked

    def clocks(self) -> Clocks:
        """Return them as a bench takes them."""
        start = to_us(BEGAN)
        return Clocks(
            lambda: start + round((self.seconds + self.wrong_s) * 1e6),
            lambda: round(self.seconds * 1e9),
            "story",
        )


@dataclass
class Hands:
    """A job at the bench as one person works it: in the person's time, with everybody's keys."""

    session: Session
    calendar: Calendar
    hand: Hand
    dice: Random
    alter: Callable[[JobState, Draft], Iterable[Draft]]
    """What a faulty or a forging face makes of each draft."""
    _last: float = 0.0

    @property
    def state(self) -> JobState:
        """See `practice.desk.Job`."""
        return self.session.state

    def now(self) -> Instant:
        """See `practice.desk.Job`."""
        return self.session.now()

    def settle(self) -> JobState:
        """See `practice.desk.Job`."""
        return self.session.settle()

    def record(self, drafts: Iterable[Draft]) -> JobState:
        """Take the person's time, then record, signed where it takes a signature."""
        wanted = [made for draft in drafts for made in self.alter(self.state, draft)]
        if wanted:
            self._take_time(wanted[0])
        while True:
            try:
                return self.session.record(wanted)
            except UnsignedError as needed:
                self._sign(needed)

    def _sign(self, needed: UnsignedError) -> None:
        sitting = self.session.sitting
        if sitting.way(needed.person) == "short":
            sitting.confirm(needed.person, SHORT)
        else:
            sitting.unlock(needed.person, passphrase(needed.name), SHORT)

    def _take_time(self, draft: Draft) -> None:
        bike, hand = self.calendar.bike, self.hand
        assert bike is not None
        if draft.kind == "hold_confirmed":
            bike.wait(self._about(hand.witness_s))
        else:
            bike.wait(
                self._about(hand.look_s * (1.0 if draft.kind in ("part", "answered") else 0.3))
            )
        gap = bike.now_s - self._last
        self._last = bike.now_s
        waits = draft.step is not None and self.state.plan.planned(draft.step).kind in _WAITS
        if hand.typed_later and not waits:
            self.calendar.back_s += gap - min(gap, self.dice.uniform(1.0, 3.0))

    def _about(self, median: float) -> float:
        return exp(self.dice.gauss(log(median), _SPREAD))


@dataclass
class Worker(Autopilot):
    """A robot that reads with the workshop's own instruments."""

    typed: Mapping[str, str] = field(default_factory=dict)
    """What it types at some steps, whatever it sees."""

    @property
    def session(self) -> Session:
        """The job's."""
        assert isinstance(self.job, Hands)
        return self.job.session

    def _submitted(self, planned: PlannedStep, given: dict[str, Any]) -> tuple[Any, ...]:
        state = self.job.state
        kind, now, by = kind_read_with(state, planned.id), self.job.now(), self._by(planned)
        if planned.id in self.typed:
            given = {**given, "value": self.typed[planned.id]}
        known = self.session.workshop.instruments(kind, now.at) if kind else ()
        meter = known[0] if known else None
        try:
            return moves.submit(state, planned.id, given, by, now, meter)
        except InstrumentError as needed:
            lead = next(name for name, roles in state.people.items() if "lead" in roles)
            leave = concede_instrument(
                state, needed.instrument, lead, scope="This bike", expiry=now.at[:10],
                reason="The other one is away", now=now,
            )  # fmt: skip
            self.job.record([leave])
            return moves.submit(self.job.state, planned.id, given, by, self.job.now(), meter)


def as_drafted(_: JobState, draft: Draft) -> Iterable[Draft]:
    """Return what an honest face records: what was drafted."""
    return (draft,)


@dataclass
class Work:
    """How one job is to be done."""

    procedure: Loaded
    by: str = "Rika Holt"
    witness: str = "Noor Vale"
    hand: Hand = HAND["honest"]
    fault: str = ""
    alter: Callable[[JobState, Draft], Iterable[Draft]] = as_drafted
    typed: Mapping[str, str] = field(default_factory=dict)
    seed: int | None = None
    """Of the bike and its noise; None: one of its own."""


@dataclass
class Workshop:
    """The store, and what is known of the jobs in it."""

    bench: Bench
    calendar: Calendar
    honest: list[str] = field(default_factory=list)
    careless: list[str] = field(default_factory=list)
    faulty: dict[str, str] = field(default_factory=dict)
    """Jobs on bikes with a fault, and how each ended."""
    planted: dict[str, str] = field(default_factory=dict)
    """The check that has to find it, and the job."""

    @property
    def jobs(self) -> list[str]:
        """All of them."""
        return sorted(line.job for line in self.bench.jobs())

    def signer(self, name: str) -> Any:
        """Open somebody's key."""
        person = self.bench.book.register.find(name)
        assert person is not None
        self.bench.sitting.unlock(person.id, passphrase(name))
        return self.bench.sitting.signer(person.id)

    def enter(self, make: Callable[..., Draft], *given: Any, **more: Any) -> None:
        """Enter a change into the register, signed by the lead."""
        lead = self.signer(LEAD)
        self.bench.book.enter(lambda now: (make(now, *given, by=lead.person, **more),), lead)

    def work(self, work: Work, bench: Bench | None = None) -> str:
        """Do a job the next morning and return its id."""
        self.calendar.day += 1
        self.calendar.bike, self.calendar.back_s, self.calendar.wrong_s = None, 0.0, 0.0
        number = self.calendar.day
        seed = number if work.seed is None else work.seed
        bike = _bike(work, seed)
        self.calendar.bike = bike
        known = {"frame": f"FRAME-{number:03}", "model": f"Trail {number % 3}"}
        people = {work.by: ["technician"], work.witness: ["witness"]}
        people.setdefault(LEAD, []).append("lead")
        with (bench or self.bench).start(work.procedure, known, people, work.by) as session:
            dice = Random(f"{work.hand.name} {seed}")
            hands = Hands(session, self.calendar, work.hand, dice, work.alter)
            keep = keeper(session)
            robot = Worker(hands, bike, work.hand.habits, keep, typed=work.typed)
            self._to_the_end(hands, robot)
            return session.job

    @staticmethod
    def _to_the_end(hands: Hands, robot: Worker) -> None:
        """Let the robot work; a lead decides where it may not go on."""
        for _ in range(20):
            ended = robot.work()
            if ended.how in ("released", "finished"):
                return
            state = hands.state
            if ended.step and waits_for_concession(state, ended.step):
                year = hands.now().at[:4]
                hands.record([moves.concede(
                    state, ended.step, LEAD, scope="This bike", expiry=f"{year}-12-31",
                    reason="Accepted by the owner", now=hands.now(),
                )])  # fmt: skip
            else:
                hands.record([moves.abandon(state, f"Sent back: {ended.why}"[:200], LEAD)])
                return


def _bike(work: Work, seed: int) -> Bike:
    from commission.job.plan import from_record

    build = arriving(from_record(work.procedure.text), sound_build(seed))
    if work.fault:
        fault = shipped().find(work.fault)
        assert fault is not None, work.fault
        build = apply(build, fault)
    return Bike(build, seed)


def founded(folder: Path) -> Workshop:
    """Return a workshop with its people, its instruments and its approved procedure."""
    calendar = Calendar()
    bench = Bench.open(folder / "bench.db", "bench-1", clocks=calendar.clocks())
    bench.sitting.idle_s = 1e9  # opening a key again takes a tenth of a second each time
    shop = Workshop(bench, calendar)
    lead = None
    for name, roles in CREW.items():
        enrolling.add(bench, Wanted.of(name, roles), passphrase(name), lead)
        lead = shop.signer(LEAD)
    for kind, serial, due in (
        ("multimeter", "4711", "2026-12-31"),
        ("torque wrench", "0815", "2026-12-31"),
        ("tape measure", "7", OVERDUE_FROM),
    ):
        wanted = instrument_moves.Wanted(kind, serial, due=due)
        shop.enter(instrument_moves.add, wanted)
    for slug in ("gearing-change", "controller-exchange", "quick-persistence", "direction-reverts"):
        one = shipped_procedure(slug)
        assert one.procedure is not None
        shop.enter(
            procedures.approve, one.procedure.procedure, one.procedure.revision,
            one.procedure.title, one.digest,
        )  # fmt: skip
    return shop


@functools.cache
def shipped_procedure(slug: str) -> Loaded:
    """Return a shipped procedure."""
    return load.load(next(path for name, _, path in load.shipped() if name == slug))
