"""The shipped checklist, its examples, and a walk through a job by a clock that is told to run."""

from __future__ import annotations

import csv
import functools
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job import advance, moves, witnessing
from commission.job.entry import GENESIS, Clock, Draft, Entry, Instant
from commission.job.plan import Plan, plan
from commission.job.state import JobState, Status
from commission.procedure import load, yaml12

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.procedure.model import Procedure

CHECKLISTS: Final = Path(__file__).parents[2] / "checklists"
EXAMPLES: Final = CHECKLISTS / "examples"
TECHNICIAN, WITNESS, LEAD = "Rika Holt", "Jon Aster", "Mara Quill"

Piece = dict[str, str]
Answers = dict[str, dict[str, Piece]]
"""Step to part to field to what is typed; the one part of a step in one piece is ``""``."""


def example(name: str) -> dict[str, Any]:
    """Return the data of an example file."""
    document = yaml12.build((EXAMPLES / name).read_text(encoding="utf-8"), name)
    assert not document.problems, document.problems
    data: dict[str, Any] = document.data
    return data


def spelled_out(answer: Any) -> dict[str, Piece]:
    """Return an answer of demo-answers.yaml by part and field."""
    if isinstance(answer, str):
        return {"": {"value": answer}}
    if answer and all(isinstance(piece, dict) for piece in answer.values()):
        return dict(answer)
    return {"": dict(answer)}


@pytest.fixture(scope="session")
def checklists() -> Path:
    """The folder of the shipped checklists."""
    return CHECKLISTS


@pytest.fixture(scope="session")
def exchange() -> Procedure:
    """The procedure controller-exchange."""
    loaded = load.load(CHECKLISTS / "controller-exchange.yaml")
    assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
    return loaded.procedure


@pytest.fixture(scope="session")
def exchange_plan(exchange: Procedure) -> Plan:
    """The plan of a job under controller-exchange."""
    return plan(exchange)


@pytest.fixture(scope="session")
def demo() -> dict[str, Any]:
    """The invented bike, its people and its facts."""
    return example("demo-bike.yaml")


@pytest.fixture
def answers(demo: dict[str, Any]) -> Answers:
    """What is typed in a job in which everything passes, facts included."""
    typed = {**demo["facts"], **example("demo-answers.yaml")["answers"]}
    return {step: spelled_out(answer) for step, answer in typed.items()}


@dataclass
class Walk:
    """A job that is answered from a table; `record` is the only way its state changes."""

    state: JobState
    answers: Answers
    moment: datetime = datetime(2031, 5, 6, 8, 0, tzinfo=UTC)
    entries: list[Entry] = field(default_factory=list)

    def now(self) -> Instant:
        """Return the moment by both clocks."""
        ns = int((self.moment - datetime(2031, 1, 1, tzinfo=UTC)).total_seconds() * 1e9)
        return Instant(self.moment.strftime("%Y-%m-%dT%H:%M:%S.%fZ"), Clock("boot", ns))

    def record(self, drafts: Iterable[Draft]) -> None:
        """Make entries of drafts, two seconds apart."""
        for draft in drafts:
            now = self.now()
            entry = Entry(
                "job", self.state.seq + 1, now.at, now.clock, "bench", draft.by, draft.kind,
                draft.step, draft.attempt, draft.body, GENESIS,
            )  # fmt: skip
            self.state = advance.advance(self.state, entry)
            self.entries.append(entry)
            self.moment += timedelta(seconds=2)

    def open(self, bike: Mapping[str, str], people: list[dict[str, Any]]) -> None:
        """Record the job's opening entry."""
        own = self.state.plan.procedure
        procedure = {"id": own.procedure, "revision": own.revision, "digest": "", "text": ""}
        body = {
            "job": "demo", "bike": dict(bike), "procedure": procedure, "practice": True,
            "people": people, "tool": "test",
        }  # fmt: skip
        self.record([Draft("opened", TECHNICIAN, body=body)])

    @property
    def step(self) -> str:
        """The open step's name; empty when all are settled."""
        one = moves.open_step(self.state)
        return "" if one is None else one.id

    def until(self, stop: str = "") -> Walk:
        """Go on until `stop` is open, until the job ends, or until something does not pass."""
        while self.step and self.step != stop and not self.state.outcome:
            drafts = moves.automatic(self.state, self.now())
            if drafts:
                self.record(drafts)
                continue
            if self.stands(self.step).status is Status.HOLD:
                self.confirm_hold()
                continue
            before = self.stands(self.step).failures
            name = self.step
            self.answer()
            if self.stands(name).failures > before:
                return self
        return self

    def stands(self, step: str) -> Any:
        """Return how a step stands."""
        return self.state.steps[step]

    def confirm_hold(self) -> None:
        """Have the open step's hold confirmed by whoever has the role and did not do it."""
        role = self.state.plan.planned(self.step).step.hold
        other = next(
            name
            for name in (WITNESS, LEAD)
            if role in self.state.people[name] and name != self.stands(self.step).answer.by
        )
        given = {}
        if witnessing.is_independent(self.state.plan.planned(self.step)):
            asks = witnessing.asks(self.state, self.step, self.now())
            first = self.answers[self.step][""]
            given = {ask.name: self._typed(ask.type, first.get(ask.name, "")) for ask in asks}
        draft = moves.confirm_hold(self.state, self.step, other, now=self.now(), given=given)
        self.record([draft])

    def answer(self) -> None:
        """Give the next piece of the open step, after its cautions and its waiting time."""
        step = self.state.plan.planned(self.step)
        by = LEAD if getattr(step.step, "role", "") == "lead" else TECHNICIAN
        if step.has_cautions and not self.stands(step.id).acknowledged:
            self.record([moves.acknowledge(self.state, step.id, by)])
        asking = moves.asking(self.state, step.id, self.now())
        if asking.wait is not None and asking.wait.remaining > 0:
            self.moment += timedelta(seconds=asking.wait.remaining)
        given = self.answers[step.id].get(asking.part, {})
        typed = {ask.name: self._typed(ask.type, given.get(ask.name, "")) for ask in asking.asks}
        self.record(moves.submit(self.state, step.id, typed, by, self.now()))

    @staticmethod
    def _typed(kind: str, text: str) -> Any:
        if kind == "file":
            return {"name": text, "sha256": "0" * 64, "size": (EXAMPLES / text).stat().st_size}
        return text or ("done" if kind == "done" else "")


@pytest.fixture(scope="session")
def plan_of() -> Callable[[str], Plan]:
    """Plan a shipped checklist; each once."""

    @functools.cache
    def made(slug: str) -> Plan:
        loaded = load.load(CHECKLISTS / f"{slug}.yaml")
        assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
        return plan(loaded.procedure)

    return made


@pytest.fixture
def walk_of(plan_of: Callable[[str], Plan], demo: dict[str, Any]) -> Callable[[str], Walk]:
    """Start a job on the invented bike under any other checklist, with its example answers."""

    def start(slug: str) -> Walk:
        made, own = plan_of(slug), example(f"{slug}-answers.yaml")
        typed = {**demo["facts"], **own.get("facts", {})}
        typed |= {**example("demo-answers.yaml")["answers"], **own["answers"]}
        answers = {
            step: spelled_out(_listed(made, step, answer))
            for step, answer in typed.items()
            if step in made.index
        }
        job = Walk(advance.begin(made), answers)
        job.open(demo["bike"], demo["people"])
        return job

    return start


def _listed(made: Plan, step: str, answer: Any) -> Any:
    """Return an answer; tables of settings in it may be the names of lists of them."""
    kind = made.planned(step).kind
    if kind in ("read_back", "write") and isinstance(answer, str):
        return {"cells-1": _cells(answer)}
    if kind == "power_cycle":
        return {part: _cells(one) if isinstance(one, str) else one for part, one in answer.items()}
    return answer


def _cells(name: str) -> Piece:
    with (EXAMPLES / name).open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["name"]: row["value"] for row in rows}


@pytest.fixture
def walk(exchange_plan: Plan, demo: dict[str, Any], answers: Answers) -> Callable[[], Walk]:
    """Start a job on the invented bike."""

    def start() -> Walk:
        job = Walk(advance.begin(exchange_plan), answers)
        job.open(demo["bike"], demo["people"])
        return job

    return start
