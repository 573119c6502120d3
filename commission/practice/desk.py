"""Where entries go while a virtual bike is worked on, on the bike's own clock."""

from __future__ import annotations

import functools
import hashlib
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, Protocol

from commission.errors import RefusedError
from commission.job import advance, moves
from commission.job.entry import GENESIS, Clock, Draft, Entry, Instant

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.job.plan import Plan
    from commission.job.state import JobState

CREW: Final[Mapping[str, tuple[str, ...]]] = {
    "Rika Holt": ("technician",),
    "Jon Aster": ("technician", "witness"),
    "Mara Quill": ("lead", "witness"),
}
"""Invented people, with the roles that every shipped procedure needs."""
TECHNICIAN: Final = "Rika Holt"
START: Final = datetime(2030, 1, 7, 8, 0, tzinfo=UTC)
"""When simulated time begins, where nobody says otherwise."""
BETWEEN_S: Final = 2.0
"""Simulated time that one entry takes."""
_BENCH: Final = "practice bench"


class Job(Protocol):
    """What an autopilot needs of a job: a session of a store has it, and so has a `Desk`."""

    @property
    def state(self) -> JobState:
        """The job after the last entry."""

    def now(self) -> Instant:
        """Return this moment."""

    def record(self, drafts: Iterable[Draft]) -> JobState:
        """Record drafts, all or none."""

    def settle(self) -> JobState:
        """Record what the program itself has to."""


@functools.lru_cache(maxsize=64)
def instant(seconds: float, start: datetime = START) -> Instant:
    """Return the moment by both clocks, so many simulated seconds after `start`."""
    at = start + timedelta(seconds=seconds)
    text = f"{at.replace(tzinfo=None).isoformat(timespec='microseconds')}Z"
    return Instant(text, Clock("practice", round(seconds * 1e9)))


@dataclass
class Desk:
    """A job kept in memory: for trials, which make thousands of them."""

    state: JobState
    seconds: Callable[[], float]
    """The simulated clock."""
    entries: list[Entry] = field(default_factory=list)

    @classmethod
    def open(
        cls, plan: Plan, seconds: Callable[[], float], bike: Mapping[str, str], seed: int
    ) -> Desk:
        """Open a practice job on a virtual bike."""
        own = plan.procedure
        body: dict[str, Any] = {
            "job": f"practice-{seed}",
            "bike": dict(bike),
            "procedure": {
                "id": own.procedure, "revision": own.revision, "digest": "", "text": "",
            },
            "practice": True,
            "people": [{"name": name, "roles": list(roles)} for name, roles in CREW.items()],
            "tool": "practice",
        }  # fmt: skip
        desk = cls(advance.begin(plan), seconds)
        desk.record([Draft("opened", TECHNICIAN, body=body)])
        return desk

    def now(self) -> Instant:
        """See `Job.now`."""
        return instant(self.seconds())

    def record(self, drafts: Iterable[Draft]) -> JobState:
        """See `Job.record`."""
        now, state, made = self.now(), self.state, []
        for draft in drafts:
            entry = Entry(
                "practice", state.seq + 1, now.at, now.clock, _BENCH, draft.by, draft.kind,
                draft.step, draft.attempt, draft.body, GENESIS,
            )  # fmt: skip
            state = advance.advance(state, entry)
            made.append(entry)
        self.entries += made
        self.state = state
        return state

    def settle(self) -> JobState:
        """See `Job.settle`."""
        for _ in range(len(self.state.plan.steps) + 1):
            drafts = moves.automatic(self.state, self.now())
            if not drafts:
                return self.state
            self.record(drafts)
        raise RefusedError("The steps that need nobody do not come to an end.")


def described(name: str, content: str) -> dict[str, str | int]:
    """Return a file's description as an answer gives it; the content is kept nowhere."""
    data = content.encode()
    return {"name": name, "sha256": hashlib.sha256(data).hexdigest(), "size": len(data)}
