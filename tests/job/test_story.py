"""A whole small job with every step kind, done by a robot that only answers what it is asked.

Once everything passes; once a setting reverts after the first key cycle and is caught, remedied by
another route and proved again, and the ledger tells it.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import RefusedError
from commission.job import moves
from commission.job.judge import judge_again
from commission.job.ledger import ledger
from commission.job.state import Fate, Status
from commission.procedure.model import KINDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.ask import Ask, Asking
    from commission.job.entry import Draft

HEAD: dict[str, Any] = {
    "equipment": [
        {"id": "meter", "label": "Multimeter", "kind": "multimeter", "percent": 0.5, "counts": 2}
    ],
    "facts": [
        {"id": "series", "label": "Cells in series", "type": "integer", "unit": "cells",
         "range": ["10", "24"]},
        {"id": "forward", "label": "Direction that is forward", "type": "choice",
         "choices": ["normal", "reversed"]},
    ],
    "roles": {"series_cells": "series", "cell_full": "4.2[V]", "cell_nominal": "3.6[V]",
              "cell_cutoff": "3.0[V]", "low_voltage_cutoff": "cut_off"},
    "settings": [
        {"id": "cut_off", "label": "Cut-off voltage", "type": "quantity", "unit": "V",
         "range": ["30[V]", "90[V]"], "equal_within": "0.1[V]",
         "intended": "window.cutoff_voltage"},
        {"id": "direction", "label": "Direction", "type": "choice",
         "choices": ["normal", "reversed"], "intended": "forward"},
        {"id": "brake_light", "label": "Brake light", "type": "yes_no"},
    ],
}  # fmt: skip
STEPS: list[dict[str, Any]] = [
    {"kind": "confirm", "id": "stand", "caution": {
        "signal": "WARNING", "hazard": "A turning wheel", "consequence": "can crush a hand",
        "avoidance": "Keep hands off the wheel."}},
    {"kind": "identify", "id": "unit", "fields": [
        {"id": "serial", "label": "Serial number", "pattern": "[A-Z]{2}[0-9]{4}"}]},
    {"kind": "measure", "id": "pack", "unit": "V", "instrument": "meter", "hold": "witness",
     "limits": {"min": "series * 3.0[V]", "max": "series * 4.2[V]"}},
    {"kind": "choose", "id": "lever", "options": ["off", "regen"]},
    {"kind": "dwell", "id": "discharge", "duration": "10[s]"},
    {"kind": "read_back", "id": "found", "settings": "all"},
    {"kind": "attach", "id": "copy", "what": "Copy of the settings", "types": [".json"]},
    {"kind": "calculate", "id": "window", "calculator": "pack-voltage",
     "inputs": {"series": "series", "cutoff": "3.0[V]"}},
    {"kind": "write", "id": "set", "settings": ["cut_off", "direction"]},
    {"kind": "cross_check", "id": "crossed"},
    {"kind": "observe", "id": "wheel", "options": ["forward", "backward", "still"],
     "expected": "forward"},
    {"kind": "series", "id": "sensor", "runs": 3, "columns": [
        {"id": "offset", "label": "Offset", "unit": "deg", "circular": True,
         "target": "0[deg]", "within": "3[deg]", "spread": "3[deg]", "range": "8[deg]"}]},
    {"kind": "sweep", "id": "throttle", "x": {"label": "Travel", "unit": "%"},
     "y": {"label": "Signal", "unit": "V"}, "points": ["0[%]", "50[%]", "100[%]"],
     "deviation": "0.05[V]", "monotonic": True},
    {"kind": "confirm", "id": "regen_set", "when": "lever == 'regen'"},
    {"kind": "power_cycle", "id": "proof", "cycle": "cold", "cycles": 2, "off_for": "30[s]",
     "below": "5[V]", "observe": ["wheel"], "on_fail": {"retry": 0, "remedy": [
         {"kind": "write", "id": "set_again", "settings": ["direction"],
          "route": "the other page"}]}},
    {"kind": "sign_off", "id": "release", "meaning": "released", "role": "lead"},
]  # fmt: skip
FIXED: dict[str, Any] = {
    "series": "14", "pack": "52.0", "unit": "AB1234", "lever": "OFF", "forward": "reversed",
    "copy": {"name": "found.json", "sha256": "a" * 64, "size": 120},
}  # fmt: skip
SIGNAL = {"0": "0.90", "50": "2.55", "100": "4.18"}
FORWARD = {"normal": "backward", "reversed": "forward"}


class Robot:
    """Answers what is asked: it reads a controller's memory, and writes to it when asked to."""

    def __init__(self, job: Any, *, reverts: bool) -> None:
        self.job = job
        self.memory = {"cut_off": "44.0", "direction": "normal", "brake_light": "yes"}
        self.lasting = dict(self.memory)
        self.reverts = reverts
        self.bus = 0
        self.waits: list[float] = []
        self.verdicts: list[tuple[str, str]] = []

    def do(self, drafts: tuple[Draft, ...]) -> None:
        for draft in drafts:
            body = json.loads(json.dumps(draft.body, allow_nan=False))
            self.job.tell(draft.kind, draft.step, body, draft.by, draft.attempt)
            if draft.kind == "answered":
                assert draft.step is not None
                self.verdicts.append((draft.step, body["verdict"]))
                assert judge_again(body["judged"]) == body["verdict"]
                assert body["because"]

    def work(self) -> None:
        """Go on until nothing is left to do."""
        for _ in range(200):
            self.do(moves.automatic(self.job.state, self.job.now()))
            due = moves.open_step(self.job.state)
            if due is None or self.job.state.outcome:
                return
            stands = self.job.state.steps[due.id]
            if stands.status is Status.HOLD:
                self.do((moves.confirm_hold(self.job.state, due.id, "Ben"),))
            elif due.step.cautions and not stands.acknowledged:
                self.do((moves.acknowledge(self.job.state, due.id, "Ada"),))
            else:
                self.answer(due.id)
        pytest.fail("the job never ends")

    def answer(self, step: str) -> None:
        asking = moves.asking(self.job.state, step, self.job.now())
        by = "Cleo" if step == "release" else "Ada"
        given = {one.name: self.one(asking, one) for one in asking.asks}
        given = {name: text for name, text in given.items() if text}
        if asking.wait is not None and asking.wait.remaining:
            with pytest.raises(RefusedError, match="of"):
                moves.submit(self.job.state, step, given, by, self.job.now())
            self.waits.append(asking.wait.seconds)
            self.job.wait(asking.wait.remaining)
        else:
            self.job.wait(1)
        self.do(moves.submit(self.job.state, step, given, by, self.job.now()))

    def one(self, asking: Asking, ask: Ask) -> Any:
        if ask.name in self.memory:
            return self.setting(asking, ask.name)
        if asking.step in FIXED:
            return FIXED[asking.step]
        if asking.step == "sensor":
            return {"run-1": "359.0", "run-2": "1.5", "run-3": "0.2"}[asking.part]
        if asking.step == "throttle":
            return SIGNAL[asking.asks[0].offered] if ask.name == "y" else ask.offered
        return self.power_or_sight(asking, ask)

    def power_or_sight(self, asking: Asking, ask: Ask) -> str:
        if asking.part.endswith(":bus"):
            self.bus += 1
            return "12.0" if self.bus % 2 else "1.1"
        if asking.part.endswith(":off"):
            self.memory = dict(self.lasting)
        if "forward" in ask.choices:
            return FORWARD[self.memory["direction"]]
        return "" if ask.optional else "done"

    def setting(self, asking: Asking, name: str) -> str:
        if asking.step in {"set", "set_again"}:
            self.memory[name] = {"cut_off": "42.0", "direction": "reversed"}[name]
            if name != "direction" or not self.reverts or asking.step == "set_again":
                self.lasting[name] = self.memory[name]
        return self.memory[name]


def finished(told: Callable[..., Any], *, reverts: bool) -> Robot:
    robot = Robot(told(*STEPS, **HEAD), reverts=reverts)
    robot.work()
    return robot


def test_the_story_has_every_kind_of_step() -> None:
    assert {step["kind"] for step in STEPS} == set(KINDS)


def test_a_job_in_which_everything_passes_is_released(told: Callable[..., Any]) -> None:
    robot = finished(told, reverts=False)
    state = robot.job.state
    assert state.outcome == "released"
    assert {verdict for _, verdict in robot.verdicts} == {"pass"}
    assert state.steps["regen_set"].status is Status.NOT_APPLICABLE
    assert state.steps["regen_set"].reason == "lever is 'off'"
    assert state.steps["set_again"].status is Status.DORMANT
    assert robot.waits == [10.0, 30.0, 30.0]
    assert robot.bus == 4, "the bus was read again until it was below the threshold"
    fates = {line.setting: line.fate for line in ledger(state)}
    assert fates == {
        "cut_off": Fate.HELD, "direction": Fate.HELD, "brake_light": Fate.AS_FOUND,
    }  # fmt: skip
    assert moves.suggest(state) == "Nothing more to do: the job is released."


def test_a_setting_that_reverts_is_caught_remedied_and_proved_again(
    told: Callable[..., Any],
) -> None:
    robot = finished(told, reverts=True)
    state = robot.job.state
    assert state.outcome == "released"
    after = robot.verdicts[[step for step, _ in robot.verdicts].index("proof") :]
    assert after == [("proof", "fail"), ("set_again", "pass"), ("proof", "pass"),
                     ("release", "pass")]  # fmt: skip
    failed = next(
        entry for entry in robot.job.entries
        if entry.kind == "answered" and entry.body["verdict"] == "fail"
    )  # fmt: skip
    assert "Direction reverted in cycle 1" in failed.body["because"]
    assert "as before it was written; written was reversed" in failed.body["because"]
    assert "Seen: backward; expected: forward." in failed.body["because"]
    assert "Cut-off" not in failed.body["because"]
    line = next(line for line in ledger(state) if line.setting == "direction")
    assert (line.found, line.intended, line.written) == ("normal", "reversed", "reversed")
    assert line.left == ("reversed", "reversed")
    assert line.earlier == ("normal",)
    assert line.fate is Fate.HELD


def test_nothing_but_the_computed_window_stands_behind_the_cut_off(
    told: Callable[..., Any],
) -> None:
    """14 cells at 3.0 V make 42.0 V: from the fact through the calculator into the setting."""
    state = finished(told, reverts=False).job.state
    line = next(line for line in ledger(state) if line.setting == "cut_off")
    assert line.intended == "42 V"
    assert "pack-voltage" in line.computed_from
    assert state.steps["window"].answer.judged["inputs"] == {"series": 14.0, "cutoff": 3.0}


NASTY = (
    "", " ", "3,5", "1e400", "-1e-400", "nan", "inf", "9" * 600, "\x00", "\x1b[2J", "\u202e12",
    "[b]x", "\ud800", "5 V A", "5 **", "yes", "no", "cannot", "{}", "[1]", '{"name": 1}', "²", "٣",
    "1e9 s",
)  # fmt: skip


def test_nothing_that_can_be_typed_anywhere_is_more_than_refused(
    told: Callable[..., Any],
) -> None:
    """Every nasty text at every field of every step: taken or refused, never anything else."""

    class Clumsy(Robot):
        def answer(self, step: str) -> None:
            asking = moves.asking(self.job.state, step, self.job.now())
            for text in NASTY:
                self.try_it(step, {one.name: text for one in asking.asks})
            for one in asking.asks:
                self.try_it(step, {one.name: {"typed": "1"}})
            self.try_it(step, {"nothing": "1"})
            super().answer(step)

        def try_it(self, step: str, given: dict[str, Any]) -> None:
            before = self.job.state
            try:
                drafts = moves.submit(before, step, given, "Cleo", self.job.now())
            except RefusedError:
                drafts = ()
            json.dumps([draft.body for draft in drafts], allow_nan=False)
            assert self.job.state is before

    robot = Clumsy(told(*STEPS, **HEAD), reverts=True)
    robot.work()
    assert robot.job.state.outcome == "released"
