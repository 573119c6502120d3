"""Random walks through a job: people do what they may, at any time, and some things they may not.

Whatever a move offers, the fold accepts; whatever it refuses changes nothing; and the state after
any number of entries is legal and equals a replay.
"""

from __future__ import annotations

import json
import random
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission.errors import IllegalEntryError, RefusedError
from commission.job import moves
from commission.job.advance import advance, replay
from commission.job.ledger import ledger
from commission.job.route import route
from commission.job.state import JobState, Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.ask import Ask
    from commission.job.entry import Draft
    from commission.job.plan import PlannedStep
    from commission.job.state import StepState
    from tests.job.conftest import Told

CAUTION = {
    "signal": "WARNING", "hazard": "Live parts", "consequence": "shock", "avoidance": "Isolate.",
}  # fmt: skip
HEAD: dict[str, Any] = {
    "facts": [
        {"id": "cells", "label": "Cells", "type": "integer", "range": ["10", "20"]},
        {"id": "lever", "label": "Lever", "type": "choice", "choices": ["regen", "plain"]},
    ],
    "settings": [
        {"id": "limit", "label": "Limit", "type": "quantity", "unit": "V",
         "intended": "cells * 1[V]", "equal_within": "3[V]"},
        {"id": "way", "label": "Way", "type": "choice", "choices": ["ahead", "back"],
         "intended": "ahead"},
    ],
}  # fmt: skip
STEPS: list[dict[str, Any]] = [
    {"kind": "measure", "id": "pack", "unit": "V", "caution": CAUTION,
     "limits": {"max": "cells * 1[V]"}, "on_fail": {"retry": 1, "rounds": 2, "remedy": [
         {"kind": "confirm", "id": "charge"},
         {"kind": "measure", "id": "charger", "unit": "V", "on_fail": {"remedy": [
             {"kind": "confirm", "id": "plug"}]}, "limits": {"min": "12[V]"}}]}},
    {"kind": "measure", "id": "regen", "unit": "V", "when": "lever == 'regen'",
     "limits": {"max": "pack"}, "on_fail": {"then": "concession"}},
    {"kind": "read_back", "id": "found", "settings": "all"},
    {"kind": "write", "id": "set_all", "settings": ["limit", "way"], "hold": "lead"},
    {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "way.written",
     "hold": "witness"},
    {"kind": "power_cycle", "id": "prove", "cycle": "cold", "cycles": 2, "off_for": "10[s]",
     "below": "13[V]", "observe": ["turn"], "on_fail": {"remedy": [
         {"kind": "write", "id": "other_page", "settings": ["way"]}]}},
    {"kind": "sign_off", "id": "release", "meaning": "released", "role": "lead"},
]  # fmt: skip
MOSTLY_GOOD = {
    "integer": ("14", "14", "14", "12", "15", "many"),
    "quantity": ("12", "12", "12", "12.0", "14", "14", "16 V", "3,5"),
    "text": ("A-1",),
    "yes_no": ("yes", "no"),
    "done": ("done", "no"),
}


class Walker:
    """Does something to a job, by chance, and keeps the states it went through."""

    def __init__(self, job: Told, pick: Callable[..., Any]) -> None:
        self.job = job
        self.pick = pick
        self.states = [job.state]

    def take(self, *drafts: Draft) -> None:
        """Tell what a move offered: the fold has to accept all of it."""
        for draft in drafts:
            body = json.loads(json.dumps(draft.body, allow_nan=False))
            self.job.tell(draft.kind, draft.step, body, draft.by, draft.attempt)
            self.states.append(self.job.state)

    def try_to(
        self, move: Callable[..., Draft | tuple[Draft, ...]], *args: Any, **named: Any
    ) -> None:
        """Make a move, or be refused politely with nothing changed."""
        before = self.job.state
        try:
            drafts = move(self.job.state, *args, **named)
        except IllegalEntryError:
            pytest.fail("a move refuses politely before the fold has to")
        except RefusedError:
            assert self.job.state is before
            return
        self.take(*(drafts if isinstance(drafts, tuple) else (drafts,)))

    def people(self) -> list[str]:
        return sorted(self.job.state.people)

    def one(self, ask: Ask) -> str:
        if ask.type == "choice":
            return str(self.pick(*ask.choices[:1] * 3, *ask.choices))
        return str(self.pick(*MOSTLY_GOOD[ask.type]))

    def given(self, step: str, part: str | None = None) -> dict[str, str]:
        asking = moves.asking(self.job.state, step, self.job.now(), part)
        asks = {one.name: self.one(one) for one in asking.asks}
        if asking.some and len(asks) > 1 and self.pick("", "less"):
            asks.pop(self.pick(*asks))
        return asks

    def go_on(self) -> None:
        """Do what is due: come back, read again, acknowledge, answer, confirm, concede, resume."""
        state = self.job.state
        self.take(*moves.automatic(state, self.job.now()))
        state, due = self.job.state, moves.open_step(self.job.state)
        if state.away:
            self.try_to(moves.come_back, "Ada")
        elif state.reread:
            self.try_to(moves.reread, "Ada")
        elif state.stopped:
            self.try_to(moves.resume, "Cleo", "looked at it")
        elif due is not None and not state.outcome:
            self.do_step(due.id)

    def do_step(self, step: str) -> None:
        stands = self.job.state.steps[step]
        planned = self.job.plan.planned(step)
        if stands.status is Status.HOLD:
            by = self.pick("Cleo" if planned.step.hold == "lead" else "Ben", *self.people())
            agrees = self.pick("yes", "yes", "no") == "yes"
            self.try_to(moves.confirm_hold, step, by, agrees=agrees, reason="seen it")
        elif not stands.is_open:
            self.try_to(
                moves.concede, step, "Cleo", scope="this bike", expiry="2031-12-31",
                reason="as agreed", now=self.job.now(),
            )  # fmt: skip
        elif planned.has_cautions and not stands.acknowledged:
            self.try_to(moves.acknowledge, step, "Ada")
        else:
            self.job.wait(self.pick(60, 1))
            by = "Cleo" if step == "release" else self.pick("Ada", "Ben")
            self.try_to(moves.submit, step, self.given(step), by, self.job.now())

    def correct(self) -> None:
        step = self.pick(*self.job.plan.index)
        answer = self.job.state.steps[step].answer
        if answer is None:
            return
        part = self.pick(*answer.parts) if answer.parts else ""
        parts = {part: self.given(step, part)}
        self.try_to(
            moves.correct, step, parts, "misread it", self.pick(*self.people()), self.job.now()
        )

    def replace_piece(self) -> None:
        due = moves.open_step(self.job.state)
        if due is None or not self.job.state.steps[due.id].parts:
            return
        part = self.pick(*self.job.state.steps[due.id].parts)
        self.try_to(
            moves.replace_part, due.id, part, self.given(due.id, part), "slip of hand", "Ada"
        )

    def aside(self) -> None:
        """Do something beside the steps."""
        items = [note.seq for note in self.job.state.notes.values()] or [1]
        move, *args = self.pick(
            (moves.leave, "Ada"),
            (moves.come_back, "Ada"),
            (moves.note, "brake hose chafes", "A", "Ada"),
            (moves.close_note, self.pick(*items), "done", "Ben"),
            (moves.join, "Dora", ("witness",), "Ada"),
            (moves.resume, self.pick(*self.people()), "go on"),
        )
        self.try_to(move, *args)

    def meddle(self) -> None:
        """Put forward an entry that no move made: it is refused, or it was legal after all."""
        entry = self.pick(*self.job.entries)
        steps = [*self.job.plan.index, None, "nowhere"]
        step = self.pick(entry.step, *steps)
        body = dict(entry.body)
        if body and self.pick("", "less"):
            body.pop(self.pick(*body))
        made = replace(
            entry,
            seq=self.job.state.seq + self.pick(1, 1, 1, 0, 2),
            kind=self.pick(entry.kind, "answered", "part", "hold_confirmed", "conceded", "resumed"),
            by=self.pick(entry.by, *self.people(), "Nobody"),
            step=step,
            attempt=self.pick(entry.attempt, 1, 2, 0),
            body=body,
            at=self.job.now().at,
            clock=self.job.now().clock,
        )
        before = self.job.state
        try:
            self.job.state = advance(before, made)
        except IllegalEntryError:
            assert self.job.state is before
        else:
            self.job.entries.append(made)
            self.states.append(self.job.state)

    def step(self) -> None:
        """Do one thing; mostly what is due."""
        action = self.pick(
            *[self.go_on] * 8, self.correct, self.aside, self.replace_piece, self.meddle
        )
        action()


def assert_legal(state: JobState) -> None:
    """Check what must be true of every state, whichever way it was reached."""
    order = [planned.id for planned in state.plan.steps]
    unsettled = [place for place, name in enumerate(order) if not state.steps[name].status.settled]
    assert state.frontier == (unsettled[0] if unsettled else len(order))
    assert set(state.steps) == set(order)
    assert not state.stopped or state.outcome != "released"
    for planned in state.plan.steps:
        assert_step_legal(planned, state.steps[planned.id])
    for setting in state.settings.values():
        assert setting.found is not None, "nothing is written or proved before it was found"
        assert setting.written is not None or not setting.earlier
    if state.outcome == "released":
        assert not unsettled
        assert not any(note.grade == "A" and not note.closed for note in state.notes.values())


def assert_step_legal(planned: PlannedStep, stands: StepState) -> None:
    """Check what must be true of every step."""
    if stands.status is Status.DORMANT:
        assert planned.remedy_of is not None
    if stands.status in (Status.PASSED, Status.MARGINAL, Status.HOLD):
        assert stands.answer is not None
        assert stands.answer.verdict != "fail"
        assert stands.attempt == stands.answer.attempt
        assert stands.parts == {}
    if stands.status is Status.DUE_AGAIN:
        assert stands.due is not None
    if stands.answer is not None and stands.is_open:
        assert stands.attempt > stands.answer.attempt
    if stands.status is Status.PARTLY:
        assert set(stands.parts) == set(stands.part_moments)
    if planned.has_cautions and stands.parts:
        assert stands.acknowledged


def assert_follows(before: JobState, after: JobState) -> None:
    """Check what must be true of every step from one state to the next."""
    assert after.seq == before.seq + 1
    assert not before.outcome
    for name, stands in before.steps.items():
        earlier, later = stands.answer, after.steps[name].answer
        if earlier is not None and later is not None:
            assert (later.attempt, later.seq) >= (earlier.attempt, earlier.seq)
    assert set(before.settings) <= set(after.settings)
    assert set(before.notes) <= set(after.notes)
    assert before.recent == after.recent or after.recent


@given(st.data())
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_walk_stays_legal_and_equals_its_replay(
    told: Callable[..., Told], data: st.DataObject
) -> None:
    def pick(*options: Any) -> Any:
        return data.draw(st.sampled_from(options))

    walk(Walker(told(*STEPS, **HEAD), pick), data.draw(st.integers(1, 60)))


@pytest.mark.parametrize("seed", range(20))
def test_a_long_walk_stays_legal_and_equals_its_replay(
    told: Callable[..., Told], seed: int
) -> None:
    chance = random.Random(seed)
    walk(Walker(told(*STEPS, **HEAD), lambda *options: chance.choice(options)), 300)


def walk(walker: Walker, actions: int) -> None:
    """Do that many things, and check every state on the way."""
    for _ in range(actions):
        if walker.job.state.outcome:
            break
        walker.step()
    for state in walker.states:
        assert_legal(state)
    for before, after in pairwise(walker.states):
        assert_follows(before, after)
    entries, plan = walker.job.entries, walker.job.plan
    assert replay(plan, entries) == walker.job.state
    cut = walker.pick(*range(len(entries)))
    assert replay(plan, entries[: cut + 1]) == walker.states[cut], "earlier states never change"
    assert len(ledger(walker.job.state)) == 2
    assert len(route(walker.job.state)) == len(plan.steps)


def test_doing_only_what_is_due_ends_in_a_release(told: Callable[..., Told]) -> None:
    walker = Walker(told(*STEPS, **HEAD), lambda *options: options[0])
    for _ in range(100):
        if walker.job.state.outcome:
            break
        walker.go_on()
    else:
        pytest.fail("the walk never ends")
    assert walker.job.state.outcome == "released"
