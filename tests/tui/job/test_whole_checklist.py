"""The whole shipped checklist on the screen, by a robot that strikes keys and sees one card."""

from __future__ import annotations

import re
from copy import deepcopy
from pathlib import Path
from typing import Any, Final

import pytest

from commission.job import moves, witnessing
from commission.job.ledger import ledger
from commission.job.state import Fate, Status
from commission.procedure import yaml12
from commission.tui.job.calculating import CalculateArea
from commission.tui.job.cells import CellsArea
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.fields import FieldsArea
from commission.tui.job.filing import FileArea
from commission.tui.job.gate import GateArea
from commission.tui.job.signing import SignArea

CHECKLISTS: Final = Path(__file__).parents[3] / "checklists"
EXAMPLES: Final = CHECKLISTS / "examples"
MOST_TURNS: Final = 1500


def example(name: str) -> dict[str, Any]:
    data: dict[str, Any] = yaml12.build((EXAMPLES / name).read_text("utf-8"), name).data
    return data


def demo_answers() -> dict[str, Any]:
    return {**example("demo-bike.yaml")["facts"], **example("demo-answers.yaml")["answers"]}


class Hands:
    """Strikes the keys that the card on the screen asks for, answering from a table."""

    def __init__(self, app: Any, pilot: Any, session: Any, answers: dict[str, Any]) -> None:
        self.app, self.pilot, self.session, self.answers = app, pilot, session, answers
        self.stuck = 0

    @property
    def step(self) -> str:
        state = self.session.state
        return "" if state.outcome else str(state.plan.steps[state.frontier].id)

    async def work_until(self, stop: str = "", *, failing: str = "") -> None:
        """Go on until `stop` is the open step, `failing` has failed, or the job has ended."""
        for _ in range(MOST_TURNS):
            if self.session.state.outcome or (stop and self.step == stop):
                return
            if failing and self.session.state.steps[failing].status is Status.FAILED:
                return
            before = (self.session.state.seq, self._shown())
            step = self.step
            old = self.session.state.steps[step].answer
            await self.turn()
            await self._come_to_rest(before)
            stands = self.session.state.steps[step]
            if stands.answer is not old and stands.answer.verdict == "fail" and step != failing:
                pytest.fail(f"{step} failed: {stands.answer.because}")
            self.stuck = self.stuck + 1 if before == (self.session.state.seq, self._shown()) else 0
            assert self.stuck < 4, f"{self.step} {self._shown()}\n{self.app.text()}"
        pytest.fail(f"still at {self.step}:\n{self.app.text()}")

    async def _come_to_rest(self, before: tuple[Any, ...]) -> None:
        """Wait until the turn has had its effect, however busy the machine is."""
        for _ in range(40):
            if before != (self.session.state.seq, self._shown()):
                return
            await self.pilot.pause(0.05)

    def _shown(self) -> tuple[Any, ...]:
        area = self.app.job.area
        return (
            id(area),
            getattr(getattr(area, "ask", None), "name", ""),
            str(self.app.screen),
            getattr(getattr(area, "mark", None), "locked", False),
        )

    async def turn(self) -> None:
        """Do what the card in front of the hands asks for."""
        stands = self.session.state.steps[self.step]
        if stands.status is Status.HOLD:
            role = self.session.state.plan.planned(self.step).step.hold
            await self.hold("Ben" if role == "witness" else "Cleo")
            return
        area = self.app.job.area
        await self._wait()
        match area:
            case CalculateArea():
                await self._compute(area)
            case SignArea():
                await self._sign()
            case FileArea():
                area.input.value = str(EXAMPLES / self._text(area.ask))
                await self.pilot.press("enter", "enter")
            case FieldsArea() | CellsArea():
                area.input.value = self._text(area.row.ask if hasattr(area, "row") else area.ask)
                await self.pilot.press("enter")
            case ChoiceArea():
                position = list(area.options).index(self._text(area.ask))
                await self.pilot.press(*["down"] * (position + 1), "enter")
            case GateArea():
                await self.pilot.press("space", "enter")
            case _:
                pytest.fail(f"no hands for {area}")

    async def hold(self, name: str) -> None:
        await self.pilot.press("enter")
        planned = self.session.state.plan.planned(self.step)
        if witnessing.is_independent(planned):
            await self.pilot.press(*name, "enter")
            self.app.screen.area.input.value = str(self.answers[self.step])
            await self.pilot.press("enter", "enter")
        else:
            await self.pilot.press(*name, "enter", "y", "enter", "enter")

    def _given(self) -> dict[str, Any]:
        given = self.answers[self.step]
        if isinstance(given, str):
            return {"value": given}
        part = moves.asking(self.session.state, self.step, self.session.now()).part
        # A table is given cell by cell, each a piece of its own; the answers list it whole.
        whole = re.sub(r"(cells|read)-\d+$", r"\1-1", part)
        return dict(given.get(whole, given))

    def _text(self, ask: Any) -> str:
        return str(self._given().get(ask.name, ask.offered or "done"))

    async def _wait(self) -> None:
        """Let the time pass that a card waits for."""
        asking = moves.asking(self.session.state, self.step, self.session.now())
        if asking.wait is not None and asking.wait.remaining > 0:
            self.session.seconds += asking.wait.remaining + 1
            self.app.job.area.timer._end = 0.0  # the card's own clock is the machine's
            await self.pilot.pause(0.4)

    async def _compute(self, area: CalculateArea) -> None:
        for ask in area.asks:
            area.input.value = str(self._given().get(ask.name, ask.offered))
            await self.pilot.press("enter")
        await self.pilot.press("space", "enter")

    async def _sign(self) -> None:
        step = self.session.state.plan.planned(self.step).step
        name = "Ada" if step.role == "technician" else "Cleo"
        await self.pilot.press(*name, "enter", *step.meaning, "enter")


def fates(session: Any) -> dict[str, Fate]:
    return {line.setting: line.fate for line in ledger(session.state)}


async def test_a_whole_job_passes_in_the_smallest_window(session_of: Any, show: Any) -> None:
    session = session_of(CHECKLISTS / "controller-exchange.yaml")
    async with show(session, (80, 24)) as (app, pilot):
        await Hands(app, pilot, session, demo_answers()).work_until()
        assert session.state.outcome == "released"
        assert session.head in app.text()
    assert fates(session)["direction"] is Fate.HELD


async def test_a_direction_that_reverts_is_caught_remedied_and_proved_again(
    session_of: Any, show: Any, snapshot: Any
) -> None:
    session = session_of(CHECKLISTS / "controller-exchange.yaml")
    good = demo_answers()
    good["rewritten_after_key_cycle"] = {
        "cells-1": {"direction": "reversed", "startup_mode": "low"}
    }
    reverting = deepcopy(good)
    reverting["key_cycles"]["1:read-1"]["direction"] = "normal"
    reverting["key_cycles"]["1:observe"]["wheel_direction"] = "turns backward"
    async with show(session, (120, 40)) as (app, pilot):
        hands = Hands(app, pilot, session, reverting)
        await hands.work_until(failing="key_cycles")
        assert fates(session)["direction"] is Fate.REVERTED
        assert hands.step == "rewritten_after_key_cycle"
        await pilot.pause()
        snapshot(app, "whole-reverted-120x40")

        hands.answers = good
        await hands.work_until()
        assert session.state.outcome == "released"
        assert fates(session)["direction"] is Fate.HELD
        await pilot.press("f3", "down", "down")
        await pilot.pause()
        snapshot(app, "whole-ledger-120x40")
    story = session.state.settings["direction"]
    assert [held.given for held in story.earlier] == ["normal"]
    assert [held.given for held in story.left] == ["reversed"] * 3
