"""A robot that does a whole job on a virtual bike: it reads, types and obeys, and knows no fault.

It does what the procedure says of a failed step (again, a remedy, a stop), asks a lead for nothing
and grants nothing. It ends with the job: released, finished (nothing is left to do), stopped (the
procedure stopped it, or the bike did), or stuck (the bike has no answer: never guessed).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal, cast

from commission.errors import RefusedError
from commission.job import moves, witnessing
from commission.job.ask import Asking
from commission.job.failing import waits_for_concession
from commission.job.kinds.choices import observation
from commission.job.state import Status
from commission.job.values import values
from commission.practice.answering import Answering
from commission.practice.desk import BETWEEN_S, TECHNICIAN, described
from commission.practice.habits import HONEST
from commission.practice.probes import NoAnswerError, NothingSeenError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.practice.bike import Bike
    from commission.practice.desk import Job
    from commission.practice.habits import Habits

How = Literal["released", "finished", "stopped", "stuck"]
_MOST_TURNS: Final = 3000
"""More than any procedure needs: what goes on for longer goes in a circle."""

_MARGIN_S: Final = 0.5
"""How long after a timer has run down somebody presses the key."""


@dataclass(frozen=True, slots=True)
class Ended:
    """How a run ended, at which step, and why in one sentence."""

    how: How
    step: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Failure:
    """A step that failed once."""

    step: str
    because: str
    at_s: float
    """Simulated seconds since the job began."""


@dataclass
class Autopilot:
    """See the module; `work` does it all, `turn` one thing after another."""

    job: Job
    bike: Bike
    habits: Habits = HONEST
    keep: Callable[[str, str], Mapping[str, str | int]] = described
    """Keeps a file with the job and returns its description."""
    watch: Callable[[JobState, JobState], None] | None = None
    """Told the states before and after each thing done."""
    failures: list[Failure] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)
    """What the job's rules refused a hurried hand."""
    _person: Answering | None = field(default=None, repr=False)

    def work(self) -> Ended:
        """Go through the job to its end and return how it ended."""
        for _ in range(_MOST_TURNS):
            ended = self.turn()
            if ended is not None:
                return ended
        return Ended("stuck", self._open(), "The job does not come to an end.")

    def turn(self) -> Ended | None:
        """Do one thing; return how the job ended where it has."""
        if self._person is None:
            self._person = Answering(self.job.state.plan, self.bike, self.habits, self.keep)
        step = self._open()
        try:
            return self._turn(self._person)
        except NoAnswerError as error:
            return Ended("stuck", step, error.diagnostics())
        except NothingSeenError as error:
            return Ended("stopped", step, error.diagnostics())
        except RefusedError as error:
            return Ended("stopped", step, f"Not taken: {error.diagnostics()}")

    def _open(self) -> str:
        planned = moves.open_step(self.job.state)
        return "" if planned is None else planned.id

    def _turn(self, person: Answering) -> Ended | None:
        state = self.job.settle()
        planned = moves.open_step(state)
        if state.outcome or planned is None:
            return Ended("released" if state.outcome == "released" else "finished")
        if state.stopped:
            return Ended("stopped", state.stopped, _because(state, state.stopped))
        if waits_for_concession(state, planned.id):
            return Ended("stopped", planned.id, _because(state, planned.id))
        stands = state.steps[planned.id]
        if stands.status is Status.HOLD:
            self._hold(person, planned)
        elif planned.has_cautions and not stands.acknowledged:
            self._record(moves.acknowledge(state, planned.id, self._by(planned)))
        else:
            self._answer(person, planned)
        return None

    def _answer(self, person: Answering, planned: PlannedStep) -> None:
        state = self.job.state
        asking = moves.asking(state, planned.id, self.job.now())
        wait = 0.0 if asking.wait is None else asking.wait.remaining
        if wait > 0.0 and not self.habits.hurries:
            self.bike.wait(wait + _MARGIN_S)
        given = person.piece(state, planned, asking)
        try:
            drafts = self._submitted(planned, given)
        except RefusedError as error:
            if not (self.habits.hurries and wait > 0.0):
                raise
            self.refusals.append(error.message)
            self.bike.wait(wait + _MARGIN_S)
            if asking.part.endswith(":bus"):
                given = person.piece(state, planned, asking)
            drafts = self._submitted(planned, given)
        self._record(*drafts)

    def _submitted(self, planned: PlannedStep, given: dict[str, Any]) -> tuple[Any, ...]:
        by = self._by(planned)
        return moves.submit(self.job.state, planned.id, given, by, self.job.now())

    def _hold(self, person: Answering, planned: PlannedStep) -> None:
        """Have another person confirm, who looks for himself where the first one did not."""
        state = self.job.state
        answer = state.steps[planned.id].answer
        doers = frozenset() if answer is None else answer.doers
        role = str(planned.step.hold)
        other = next((n for n, r in state.people.items() if role in r and n not in doers), "")
        if not other:
            raise NoAnswerError(f"Nobody else is a {role}.", "Name one when the job starts.")
        if witnessing.is_independent(planned):
            asks = witnessing.asks(state, planned.id, self.job.now())
            given = person.read_again(planned, asks)
            now = self.job.now()
            self._record(moves.confirm_hold(state, planned.id, other, now=now, given=given))
            return
        doubt = "" if self.habits is HONEST else _doubt(state, person, planned)
        draft = moves.confirm_hold(state, planned.id, other, agrees=not doubt, reason=doubt)
        self._record(draft)

    def _by(self, planned: PlannedStep) -> str:
        role = getattr(planned.step, "role", "technician")
        people = self.job.state.people
        if role in people.get(TECHNICIAN, frozenset()):
            return TECHNICIAN
        return next((name for name, roles in people.items() if role in roles), TECHNICIAN)

    def _record(self, *drafts: Any) -> None:  # noqa: ANN401  drafts
        before = self.job.state
        self.bike.wait(BETWEEN_S)
        after = self.job.record(drafts)
        for name in {draft.step for draft in drafts if draft.step is not None}:
            answer = after.steps[name].answer
            if answer is not before.steps[name].answer and answer and answer.verdict == "fail":
                self.failures.append(Failure(name, answer.because, self.bike.now_s))
        if self.watch is not None:
            self.watch(before, after)


def _because(state: JobState, step: str) -> str:
    stands = state.steps[step]
    if stands.reason:
        return stands.reason
    return "" if stands.answer is None else stands.answer.because


def _doubt(state: JobState, person: Answering, planned: PlannedStep) -> str:
    """Return what a witness sees otherwise than it was entered; empty where it is the same."""
    step, answer = cast("Any", planned.step), state.steps[planned.id].answer
    names = step.observe if planned.kind == "power_cycle" else (planned.id,)
    for name in names:
        seen = state.plan.planned(name)
        if seen.kind != "observe" or state.steps[name].status is Status.NOT_APPLICABLE:
            continue
        ask = observation(cast("Any", seen.step), values(state), "value")
        asking = Asking(name, planned.kind, "", (ask,))
        sight = person.look_again(seen, asking, ask)
        entered = [
            piece.get("value" if name == planned.id else name)
            for piece in ({} if answer is None else answer.parts).values()
        ]
        if any(one is not None and one != sight for one in entered):
            return f"{seen.step.title}: seen is {sight}"
    return ""
