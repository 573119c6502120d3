"""A procedure laid out for a job: its steps in order, and what rests on what.

Facts come first, as steps of their own, so that they can be corrected like any step. Remedy steps
stand just before the step they belong to.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from commission.job.edges import SETTING, edges
from commission.job.state import Status, StepState

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.procedure.model import Caution, Fact, Limits, OnFail, Procedure, Setting, Step

__all__ = ["FACTS_STAGE", "SETTING", "FactStep", "Plan", "PlannedStep", "from_record", "plan"]

FACTS_STAGE: Final = ("facts", "Facts of this bike")
"""Identifier and title of the stage that asks the facts."""


@dataclass(frozen=True, slots=True)
class FactStep:
    """A fact of the bike as a step: asks one value, known under the fact's id."""

    fact: Fact
    id: str
    title: str
    kind: Literal["fact"] = "fact"
    why: str | None = None
    how: str | None = None
    when: None = None
    hold: None = None
    witness: None = None
    limits: Limits | None = None
    on_fail: OnFail | None = None
    probe: str | None = None
    rests_on: tuple[str, ...] = ()
    instrument: None = None

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """None: knowing something hurts nobody."""
        return ()


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step in its place."""

    index: int
    step: Step | FactStep
    stage_id: str
    stage_title: str
    remedy_of: str | None = None
    """The step whose failure calls for this one."""
    id: str = field(init=False)
    """The step's name."""
    kind: str = field(init=False)
    has_cautions: bool = field(init=False)

    def __post_init__(self) -> None:
        """Keep at hand what every entry about the step asks for."""
        object.__setattr__(self, "id", self.step.id)
        object.__setattr__(self, "kind", self.step.kind)
        object.__setattr__(self, "has_cautions", bool(self.step.cautions))


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A procedure as a job goes through it; equal only to itself."""

    procedure: Procedure
    steps: tuple[PlannedStep, ...]
    index: Mapping[str, int]
    settings: Mapping[str, Setting]
    dependents: Mapping[str, tuple[str, ...]]
    """What rests directly on a step or on a `setting:<id>` node, in the plan's order."""
    readers: Mapping[str, tuple[str, ...]]
    """Setting to the steps that rest on what is written in the controller."""
    conditions: Mapping[str, frozenset[str]]
    """Step to the nodes its `when` rests on."""
    carries: Mapping[str, frozenset[str]]
    """Node to the settings it stands for: setting nodes, read-backs and writes."""
    remedies: Mapping[str, tuple[str, ...]]
    """Step to its own remedy steps, in order."""
    initial: Mapping[str, StepState]
    """How each step stands before the first entry."""

    def planned(self, step: str) -> PlannedStep:
        """Return a step by its name; raises `KeyError` where there is none."""
        return self.steps[self.index[step]]


def plan(procedure: Procedure) -> Plan:
    """Return the plan of a checked procedure.

    Raises:
        ProcedureError: an expression cannot be read; `check` finds that with its place.
    """
    steps = tuple(_placed(procedure))
    settings = {setting.id: setting for setting in procedure.settings}
    graph = edges(procedure, [planned.step for planned in steps], settings)
    remedies: dict[str, tuple[str, ...]] = {}
    for planned in steps:
        if planned.remedy_of is not None:
            remedies[planned.remedy_of] = (*remedies.get(planned.remedy_of, ()), planned.id)
    return Plan(
        procedure=procedure,
        steps=steps,
        index=MappingProxyType({planned.id: planned.index for planned in steps}),
        settings=MappingProxyType(settings),
        dependents=graph.dependents,
        readers=graph.readers,
        conditions=graph.conditions,
        carries=graph.carries,
        remedies=MappingProxyType(remedies),
        initial=MappingProxyType({planned.id: _initial(planned) for planned in steps}),
    )


@functools.lru_cache(maxsize=64)
def from_record(text: str) -> Plan:
    """Return the plan of a procedure as a record embeds it; cached, for many jobs share one."""
    from commission.procedure import load  # reading needs pydantic: not before a job is opened

    return plan(load.from_record(text))


def _initial(planned: PlannedStep) -> StepState:
    return StepState(Status.TODO if planned.remedy_of is None else Status.DORMANT)


def _placed(procedure: Procedure) -> Iterator[PlannedStep]:
    count = 0
    for count, fact in enumerate(procedure.facts, 1):
        step = FactStep(fact, fact.id, fact.label, how=fact.help)
        yield PlannedStep(count - 1, step, *FACTS_STAGE)
    for stage in procedure.stages:
        for one in stage.steps:
            for step_in, parent in _with_remedies(one, None):
                yield PlannedStep(count, step_in, stage.id, stage.title, parent)
                count += 1


def _with_remedies(step: Step, parent: str | None) -> Iterator[tuple[Step, str | None]]:
    if step.on_fail is not None:
        for remedy in step.on_fail.remedy:
            yield from _with_remedies(remedy, step.id)
    yield step, parent
