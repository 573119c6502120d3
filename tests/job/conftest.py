"""Small procedures from Python dicts, and jobs told entry by entry with a clock that is told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.errors import IllegalEntryError
from commission.job.advance import advance, begin
from commission.job.entry import GENESIS, Clock, Entry, Instant
from commission.job.plan import Plan, plan
from commission.job.state import JobState, Status, StepState
from commission.procedure.model import Procedure

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

TECHNICIAN: Final = "Ada"
WITNESS: Final = "Ben"
LEAD: Final = "Cleo"
PEOPLE: Final = [
    {"name": TECHNICIAN, "roles": ["technician"]},
    {"name": WITNESS, "roles": ["witness", "technician"]},
    {"name": LEAD, "roles": ["lead"]},
]
DONE: Final = True
_START: Final = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)


def procedure_of(*steps: Mapping[str, Any], **head: Any) -> Procedure:
    """Return a procedure of one stage; a step without a title is given one."""
    return Procedure.model_validate(
        {
            "procedure": "small",
            "revision": 1,
            "title": "A small procedure",
            "purpose": "To pin one behaviour.",
            "stages": [{"id": "stage", "title": "Stage", "steps": [_titled(one) for one in steps]}],
            **head,
        }
    )


def _titled(step: Mapping[str, Any]) -> dict[str, Any]:
    made = {"title": f"Do {step['id']}", **step}
    if "remedy" in made.get("on_fail", {}):
        remedy = [_titled(one) for one in made["on_fail"]["remedy"]]
        made["on_fail"] = {**made["on_fail"], "remedy": remedy}
    return made


class Told:
    """A job told entry by entry: each is put to `advance`, and kept where it is legal."""

    def __init__(self, procedure_plan: Plan) -> None:
        """Begin; nothing is told yet."""
        self.plan = procedure_plan
        self.state: JobState = begin(procedure_plan)
        self.entries: list[Entry] = []
        self.seconds = 0.0
        self.boot = "boot-1"
        self.wall_shift = 0.0

    def now(self) -> Instant:
        """Return the moment by both clocks."""
        wall = _START + timedelta(seconds=self.seconds + self.wall_shift)
        at = wall.isoformat(timespec="microseconds").replace("+00:00", "Z")
        return Instant(at, Clock(self.boot, int(self.seconds * 1e9)))

    def wait(self, seconds: float) -> None:
        """Let time pass on both clocks."""
        self.seconds += seconds

    def tell(
        self,
        kind: str,
        step: str | None = None,
        body: Mapping[str, Any] | None = None,
        by: str = TECHNICIAN,
        attempt: int | None = None,
    ) -> JobState:
        """Advance by one entry, or raise `IllegalEntryError`."""
        if attempt is None:
            attempt = self.state.steps[step].attempt if step else 0
        moment = self.now()
        entry = Entry(
            "job-1", self.state.seq + 1, moment.at, moment.clock, "bench", by, kind, step, attempt,
            body or {}, GENESIS,
        )  # fmt: skip
        self.state = advance(self.state, entry)
        self.entries.append(entry)
        return self.state

    def refused(self, kind: str, step: str | None = None, *args: Any, **named: Any) -> str:
        """Tell an entry that must be refused and change nothing; return the refusal."""
        before = self.state
        with pytest.raises(IllegalEntryError) as caught:
            self.tell(kind, step, *args, **named)
        assert self.state is before
        return caught.value.diagnostics()

    def open(self, **body: Any) -> JobState:
        """Tell the first entry."""
        own = self.plan.procedure
        return self.tell("opened", body={
            "job": "J-1", "bike": {"frame": "F-1"}, "practice": False, "tool": "test",
            "people": PEOPLE,
            "procedure": {
                "id": own.procedure, "revision": own.revision, "digest": "0" * 64, "text": "{}",
            },
            **body,
        })  # fmt: skip

    def answer(
        self, step: str, value: Any = DONE, verdict: str = "pass", by: str = TECHNICIAN, **more: Any
    ) -> JobState:
        """Answer a step that takes one piece; `more` goes into the body."""
        fields = value if isinstance(value, dict) and "typed" not in value else {"value": value}
        body = {"parts": {"": fields}, "verdict": verdict, "because": "", "judged": {}, **more}
        return self.tell("answered", step, body, by)

    def conclude(self, step: str, verdict: str = "pass", by: str = TECHNICIAN) -> JobState:
        """Conclude a step whose pieces were given."""
        body = {"parts": {}, "verdict": verdict, "because": "", "judged": {}}
        return self.tell("answered", step, body, by)

    def part(
        self, step: str, part: str, given: Mapping[str, Any] | None = None, **more: Any
    ) -> JobState:
        """Give one piece; by default that something is done."""
        cells = {"value": True} if given is None else given
        return self.tell("part", step, {"part": part, "given": cells, **more})

    def read(self, step: str, **cells: Any) -> JobState:
        """Read settings back (or write them) in one piece, and conclude."""
        self.part(step, "cells-1", cells)
        return self.conclude(step)

    def cycle(self, step: str, number: int, off_for: float = 60, **cells: Any) -> JobState:
        """Go through one key cycle; the conclusion is not told."""
        self.part(step, f"{number}:off")
        self.wait(off_for)
        self.part(step, f"{number}:on")
        return self.part(step, f"{number}:read-1", cells) if cells else self.state

    def correct(self, step: str, value: Any, verdict: str = "pass", **more: Any) -> JobState:
        """Correct a step that takes one piece."""
        answer = self.state.steps[step].answer
        body = {
            "parts": {"": {"value": value}}, "verdict": verdict, "because": "", "judged": {},
            "replaces": answer.seq if answer else 0, "reason": "misread", **more,
        }  # fmt: skip
        return self.tell("corrected", step, body)

    def step(self, name: str) -> StepState:
        """Return how a step stands."""
        return self.state.steps[name]

    def status(self, name: str) -> Status:
        """Return a step's status."""
        return self.state.steps[name].status

    def due(self) -> dict[str, str]:
        """Return the steps that are due again, with the reason in words."""
        return {
            name: str(stands.due)
            for name, stands in self.state.steps.items()
            if stands.status is Status.DUE_AGAIN
        }

    @property
    def open_step(self) -> str:
        """The step to do now; empty when all are settled."""
        steps = self.plan.steps
        return steps[self.state.frontier].id if self.state.frontier < len(steps) else ""


@pytest.fixture
def told() -> Callable[..., Told]:
    """Make an opened job of steps given as dicts."""

    def make(*steps: Mapping[str, Any], **head: Any) -> Told:
        job = Told(plan(procedure_of(*steps, **head)))
        job.open()
        return job

    return make


@pytest.fixture
def plan_of() -> Callable[..., Plan]:
    """Make a plan of steps given as dicts."""
    return lambda *steps, **head: plan(procedure_of(*steps, **head))
