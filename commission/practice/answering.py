"""One piece of an answer, as a person types it who looks at the bike."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Final, cast

from commission.job.ask import Asking
from commission.job.closeness import is_same
from commission.job.kinds.valued import intended
from commission.job.values import values
from commission.practice import carelessness
from commission.practice.controller import USUAL
from commission.practice.probes import (
    ANSWERS,
    Look,
    NoAnswerError,
    NothingSeenError,
    answer,
    probe_of,
)
from commission.practice.probes.looking import switched_on
from commission.practice.probes.settings import declare, held, shown, text_of
from commission.practice.targets import right_settings
from commission.procedure.vocabulary import role_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from commission.job.ask import Ask
    from commission.job.plan import Plan, PlannedStep
    from commission.job.state import JobState
    from commission.practice.bike import Bike
    from commission.practice.habits import Habits

Typed = dict[str, Any]

READING_S: Final = 5.0
"""Simulated time of one reading or one act."""
_CELL_S: Final = 1.0
_AFRESH: Final = re.compile(r"connect(ed|s)? (it )?(again|afresh|anew)|reconnect", re.IGNORECASE)
_ALONE: Final = re.compile(r"\bleave\b.*\balone\b", re.IGNORECASE)
_TRIES: Final = 5
"""How often a bus is read that does not discharge, each time after the whole off period again."""


class Answering:
    """A person's eyes and hands for one procedure on one bike."""

    def __init__(
        self,
        plan: Plan,
        bike: Bike,
        habits: Habits,
        keep: Callable[[str, str], Mapping[str, str | int]],
    ) -> None:
        self.bike = bike
        self.habits = habits
        self._plan = plan
        self._keep = keep
        self._kinds = {each.id: each.kind for each in plan.procedure.equipment}
        self._last: dict[str, str] = {}
        """What was last typed for each probe."""
        self._bus_tries: dict[tuple[str, str], int] = {}
        for setting in plan.settings.values():
            declare(bike, setting)

    def piece(self, state: JobState, planned: PlannedStep, asking: Asking) -> Typed:
        """Return what is typed for the open piece, by asked name.

        Raises:
            NoAnswerError, NothingSeenError: see `probes`.
        """
        kind = planned.kind
        self.bike.step = planned.id
        if kind in ("read_back", "write"):
            return self._table(state, planned, asking)
        if kind == "power_cycle":
            return self._cycle(state, planned, asking)
        memo: dict[str, Any] = {
            "careless": self.habits.confirms, "hurried": self.habits.hurries,
        }  # fmt: skip
        given: Typed = {}
        for ask in asking.asks:
            given[ask.name] = self._one(planned, asking, ask, given, memo)
        return given

    def _one(
        self, planned: PlannedStep, asking: Asking, ask: Ask, given: Typed, memo: dict[str, Any]
    ) -> Any:  # noqa: ANN401  a text, or a file's description
        step = cast("Any", planned.step)
        if planned.kind == "fact":
            return self._fact(step.fact, ask)
        if ask.type == "file":
            return self._file(planned, ask)
        plain = _without_looking(planned, asking, ask, memo)
        return self._seen(planned, asking, ask, given, memo) if plain is None else plain

    def _seen(
        self, planned: PlannedStep, asking: Asking, ask: Ask, given: Typed, memo: dict[str, Any]
    ) -> str:
        """Return what is typed after looking; or without, as habits are."""
        name = probe_of(ask.probe, ask.name) or ask.probe
        short = carelessness.shortcut(
            self.habits, planned.kind, ask, self._last.get(_key(name, ask))
        )
        if short is not None and name in ANSWERS:
            return short
        step = cast("Any", planned.step)
        instrument = self._kinds.get(step.instrument or "", "")
        look = Look(self.bike, ask.probe, ask, asking, step, instrument, given, memo)
        self.bike.wait(READING_S)
        text = answer(look)
        if self.habits.confirms and text == "cannot":
            text, memo["reason"] = "done", ""
        self._last[_key(name, ask)] = text
        return text

    def look_again(self, planned: PlannedStep, asking: Asking, ask: Ask) -> str:
        """Return what another person sees who looks for himself."""
        step = cast("Any", planned.step)
        instrument = self._kinds.get(step.instrument or "", "")
        return answer(Look(self.bike, ask.probe, ask, asking, step, instrument))

    def read_again(self, planned: PlannedStep, asks: Sequence[Ask]) -> Typed:
        """Return what a witness reads who takes the reading again, whatever the doer's habits.

        Raises:
            NoAnswerError, NothingSeenError: see `probes`.
        """
        self.bike.step = planned.id
        asking = Asking(planned.id, planned.kind, "", tuple(asks))
        given: Typed = {}
        for ask in asks:
            if not ask.optional:
                self.bike.wait(READING_S)
                given[ask.name] = self.look_again(planned, asking, ask)
        return given

    def _fact(self, fact: Any, ask: Ask) -> str:  # noqa: ANN401  a fact of the procedure
        value = self.bike.build.papers.get(role_of(fact))
        if value is not None:
            return text_of(fact, value)
        if ask.optional or ask.offered:
            return ask.offered
        raise NoAnswerError(
            f"The bike's papers say nothing of {fact.label!r}.",
            "Give the fact a probe (fact.NAME) whose name the papers know.",
        )

    def _file(self, planned: PlannedStep, ask: Ask) -> Mapping[str, str | int]:
        of_settings = (planned.step.probe or "").startswith("file.")
        ending = ask.choices[0] if ask.choices else ".csv" if of_settings else ".txt"
        if not of_settings:
            return self._keep(f"{planned.id}{ending}", f"PRACTICE: {ask.label}\n")
        rows = [
            f"{name},{shown(self.bike, setting)},{setting.unit or ''}"
            for name, setting in self._plan.settings.items()
        ]
        text = "\n".join(["# PRACTICE", "name,value,unit", *rows, ""])
        return self._keep(f"{planned.id}{ending}", text)

    def _table(self, state: JobState, planned: PlannedStep, asking: Asking) -> Typed:
        switched_on(self.bike)
        step = cast("Any", planned.step)
        if planned.kind == "write":
            self._write(state, planned, asking)
        elif getattr(step, "source", "controller") == "record":
            return {ask.name: self._recorded(ask.name) for ask in asking.asks}
        self._show_settings(step)
        return {ask.name: self._cell(state, planned, ask.name) for ask in asking.asks}

    def _show_settings(self, step: Any) -> None:  # noqa: ANN401  any step
        if _AFRESH.search(f"{step.title} {step.how or ''} {step.why or ''}"):
            self.bike.program.connect()
        else:
            self.bike.controller.fetch()

    def _write(self, state: JobState, planned: PlannedStep, asking: Asking) -> None:
        step, known = cast("Any", planned.step), values(state)
        leaves_alone = bool(_ALONE.search(step.how or ""))
        wanted = {}
        for ask in asking.asks:
            setting = self._plan.settings[ask.name]
            stands = state.settings.get(ask.name)
            found = None if stands is None or stands.found is None else stands.found.given
            given = intended(setting, known, found)[0]
            if given is None:
                continue
            agrees = leaves_alone and self._agrees(setting, given, state)
            if not agrees:
                wanted[role_of(setting)] = held(setting, given)
        self.bike.wait(_CELL_S * len(asking.asks))
        self.bike.program.enter(wanted, step.route or USUAL)

    def _agrees(self, setting: Any, given: Any, state: JobState) -> bool:  # noqa: ANN401
        text = shown(self.bike, setting)
        read = {"typed": text, "unit": setting.unit or ""} if _is_number(setting) else given
        if not _is_number(setting):
            return text == ("yes" if given is True else "no" if given is False else given)
        return is_same(setting, given, read, values(state))

    def _cell(self, state: JobState, planned: PlannedStep, name: str) -> str:
        self.bike.wait(_CELL_S)
        setting = self._plan.settings[name]
        if self.habits.copies:
            expected = carelessness.expected_cell(state, planned.kind, setting)
            if expected is not None:
                return expected
        return shown(self.bike, setting)

    def _recorded(self, name: str) -> str:
        """Return a setting as an earlier job left it: this bike was commissioned once before."""
        setting = self._plan.settings[name]
        role = role_of(setting)
        value = right_settings(self.bike.build).get(role, self.bike.controller.read(role))
        return text_of(setting, value)

    def _cycle(self, state: JobState, planned: PlannedStep, asking: Asking) -> Typed:
        bike, step = self.bike, cast("Any", planned.step)
        what = asking.part.partition(":")[2]
        if what == "off":
            self._switch_off(step)
            return {"value": "done"}
        if what == "bus":
            return {"value": self._bus(planned, asking)}
        if what == "on":
            bike.connect()
            bike.key(on=True)
            return {"value": "done"}
        if what == "observe":
            seen = self._plan.planned
            return {
                ask.name: self._seen(seen(ask.name), asking, ask, {}, {}) for ask in asking.asks
            }
        switched_on(bike)
        self._show_settings(step)
        return {ask.name: self._cell(state, planned, ask.name) for ask in asking.asks}

    def _switch_off(self, step: Any) -> None:  # noqa: ANN401  a power cycle
        bike = self.bike
        bike.key(on=False)
        if bike.display_on and not self.habits.confirms:
            raise NothingSeenError("The display stays lit with the key off.")
        if step.cycle == "cold":
            bike.isolate()
        elif self.habits.hurries:
            bike.wait(1.0)
            bike.key(on=True)

    def _bus(self, planned: PlannedStep, asking: Asking) -> str:
        place = (planned.id, asking.part)
        tries = self._bus_tries.get(place, 0)
        if tries >= _TRIES:
            raise NothingSeenError(f"The bus is still charged after {tries} off periods.")
        self._bus_tries[place] = tries + 1
        if tries and asking.wait is not None:
            self.bike.wait(asking.wait.seconds)
        last = self._last.get("bus.voltage")
        if self.habits.copies and last is not None and not tries:
            return last
        self.bike.wait(READING_S)
        return self.bike.instruments.put("multimeter", "bus", asking.asks[0].unit)


def _key(probe: str, ask: Ask) -> str:
    """Return what a person means by the same reading: the same probe, and the same column."""
    return probe if ask.name == "value" else f"{probe}:{ask.name}"


def _without_looking(
    planned: PlannedStep, asking: Asking, ask: Ask, memo: Mapping[str, Any]
) -> str | None:
    """Return what is typed where nothing of the bike is asked; None where something is."""
    step, kind = cast("Any", planned.step), planned.kind
    if ask.name == "reason":
        return str(memo.get("reason", ""))
    if ask.type == "done" and (kind != "confirm" or step.probe is None):
        return "done"
    if kind == "cross_check":
        return ""
    if kind == "sweep" and ask.name != "y":
        return _sweep_place(step, asking, ask)
    if kind == "calculate" and ask.optional and f"{step.probe}.{ask.name}" not in ANSWERS:
        return ""
    return None


def _is_number(setting: Any) -> bool:  # noqa: ANN401  a setting of the procedure
    return setting.type in ("quantity", "integer")


def _sweep_place(step: Any, asking: Asking, ask: Ask) -> str:  # noqa: ANN401  a sweep
    """Return where the grip is set to: as offered, or in even steps."""
    place = int(asking.part.rpartition("-")[2])
    if ask.name == "more":
        return "no"
    return ask.offered or f"{100.0 * (place - 1) / (step.at_least - 1):g}"
