"""The state of a job: what its entries add up to. Values only; `advance` makes them.

Nothing here can be set any other way than by an entry, and nothing is kept that the entries do
not say: two folds over the same entries give equal states.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from commission.job.entry import Clock, Instant
    from commission.job.plan import Plan

Given = Any
"""What a person entered, in the shape that `commission.job.entry` describes."""
Parts = Mapping[str, Mapping[str, Given]]
"""Part name to field name to given. Steps answered in one piece have the one part `""`."""


class Status(StrEnum):
    """How a step stands; the value is the word people see."""

    TODO = "to do"
    DORMANT = "not needed yet"
    """A remedy step whose parent has not failed."""
    PARTLY = "begun"
    PASSED = "passed"
    MARGINAL = "marginal"
    FAILED = "failed"
    HOLD = "waiting for hold"
    """Answered and good; another person has yet to confirm it."""
    NOT_APPLICABLE = "not applicable"
    CONCEDED = "conceded"
    DUE_AGAIN = "due again"

    @property
    def settled(self) -> bool:
        """Whether the job may go on past a step that stands so."""
        return self in SETTLED


SETTLED = frozenset(
    {Status.PASSED, Status.MARGINAL, Status.NOT_APPLICABLE, Status.CONCEDED, Status.DORMANT}
)
_OPEN = frozenset({Status.TODO, Status.PARTLY, Status.DUE_AGAIN})


class Fate(StrEnum):
    """How a setting fared."""

    UNKNOWN = "not read yet"
    AS_FOUND = "as found"
    WRITTEN = "written, not proved"
    HELD = "held"
    REVERTED = "reverted"
    DID_NOT_TAKE = "did not take"
    DRIFTED = "drifted"


@dataclass(frozen=True, slots=True)
class Answer:
    """A concluded answer to a step."""

    seq: int
    by: str
    attempt: int
    parts: Parts
    verdict: str
    """`pass`, `marginal` or `fail`."""
    because: str
    judged: Mapping[str, Any]
    corrected: bool = False
    doers: frozenset[str] = frozenset()
    """Everyone who gave a piece of it; none of them may confirm it at a hold point."""
    moment: Instant | None = None
    """When it was concluded, or last corrected."""


@dataclass(frozen=True, slots=True)
class Concession:
    """Written leave to go on with a known shortfall."""

    seq: int
    by: str
    role: str
    scope: str
    expiry: str
    """A date, YYYY-MM-DD; the concession holds to the end of that day, UTC."""
    reason: str


@dataclass(frozen=True, slots=True)
class Due:
    """Why a step is due again: the entry that changed something, and the way from it to here."""

    seq: int
    chain: tuple[str, ...]
    """Names from the changed one to this step's nearest: `("rollout", "wheel_speed_ratio")`."""
    what: str
    """`corrected`, `answered again`, `written again` or `found not applicable`."""

    def __str__(self) -> str:
        way = f" (through {', '.join(self.chain[1:])})" if len(self.chain) > 1 else ""
        return f"due again because {self.chain[0]} was {self.what} in entry {self.seq}{way}"


@dataclass(frozen=True, slots=True)
class StepState:
    """How one step stands."""

    status: Status = Status.TODO
    attempt: int = 1
    """The attempt in hand, which entries about the step carry; the last one where none is open."""
    acknowledged: bool = False
    """Whether the cautions were acknowledged for the attempt in hand."""
    parts: Parts = field(default_factory=dict)
    """Of the attempt in hand, until it is concluded."""
    part_moments: Mapping[str, tuple[int, Instant]] = field(default_factory=dict)
    """Part name to its entry's number and moment, of the attempt in hand."""
    answer: Answer | None = None
    """The last concluded answer, also where it is due again."""
    due: Due | None = None
    failures: int = 0
    """Failures since the step last passed or its remedy was last gone through."""
    rounds: int = 0
    """Remedy rounds begun."""
    reason: str = ""
    """Why it is not applicable, conceded or refused by the witness; of one that passed, how its
    independent witness's reading compares."""
    doers: frozenset[str] = frozenset()
    """Everyone who gave a piece of the attempt in hand."""
    concession: Concession | None = None

    @property
    def is_open(self) -> bool:
        """Whether it may be answered as far as the step itself goes.

        A failed step is open while it has retries left, and after its remedy; then the attempt in
        hand is a later one than the one that failed.
        """
        if self.status is Status.FAILED:
            return self.answer is None or self.attempt > self.answer.attempt
        return self.status in _OPEN


@dataclass(frozen=True, slots=True)
class Held:
    """One value of a setting as it was read in the controller."""

    given: Given
    seq: int
    step: str
    cycle: int = 0
    """Which power cycle of the step, from 1; 0 where it is no power cycle."""


@dataclass(frozen=True, slots=True)
class SettingState:
    """A setting's way through the job."""

    found: Held | None = None
    written: Held | None = None
    intended: Given = None
    """What it was to be when last written, as `{"typed", "unit"}`, text or yes/no; or None."""
    left: tuple[Held, ...] = ()
    """As read after each power cycle since it was last written (or found), in order."""
    earlier: tuple[Held, ...] = ()
    """As left before the last write: the story of a setting that reverted."""


@dataclass(frozen=True, slots=True)
class Note:
    """An open item."""

    seq: int
    grade: str
    text: str
    by: str
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Opened:
    """What the first entry says."""

    job: str
    bike: Mapping[str, str]
    procedure: str
    revision: int
    digest: str
    practice: bool
    at: str
    by: str
    register: int = 0
    """The register's newest entry when the job was opened; 0 where nobody was registered."""


@dataclass(frozen=True, slots=True)
class JobState:
    """A job after any number of entries; `opened` is None before the first."""

    plan: Plan
    seq: int = 0
    opened: Opened | None = None
    at: str = ""
    """The moment of the last entry."""
    clock: Clock | None = None
    people: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Name to roles."""
    steps: Mapping[str, StepState] = field(default_factory=dict)
    settings: Mapping[str, SettingState] = field(default_factory=dict)
    frontier: int = 0
    """Index in the plan of the first step that is not settled; the number of steps when done."""
    stopped: str = ""
    """The step whose failure stopped the job until a lead resumes it; empty when none did."""
    away: bool = False
    """Whether work was left and not yet taken up again."""
    reread: tuple[str, ...] = ()
    """Steps to show again before work goes on."""
    recent: tuple[str, ...] = ()
    """The last two steps concluded."""
    notes: Mapping[int, Note] = field(default_factory=dict)
    jumps: int = 0
    """How often the clocks disagreed."""
    outcome: str = ""
    """Empty while the job is open; else `released` or what `closed` said."""
    ids: Mapping[str, str] = field(default_factory=dict)
    """Name to id in the register; empty in a job without registered people, which is unsigned."""
    instrument_leaves: Mapping[str, Concession] = field(default_factory=dict)
    """By an instrument's id (empty: one in no register): leave to read with it all the same."""
