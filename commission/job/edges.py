"""What rests on what, as edges between steps and settings.

A setting is a node `setting:<id>` of its own: its intended value rests on the names in its
expression, and the steps that write, prove or use the setting rest on it. What is *written* comes
from write steps, what is *left* from power cycles, what was *found* from read-backs.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from commission.job.rests import condition_names, observed_names, step_names
from commission.procedure.expression import with_choices
from commission.procedure.model import PowerCycle, ReadBack, Write

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.job.plan import FactStep
    from commission.procedure.model import Procedure, Setting, Step

SETTING: Final = "setting:"
"""Prefix of a setting's node."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Direct edges; see `commission.job.plan.Plan` for what each means."""

    dependents: Mapping[str, tuple[str, ...]]
    readers: Mapping[str, tuple[str, ...]]
    conditions: Mapping[str, frozenset[str]]
    carries: Mapping[str, frozenset[str]]


def edges(
    procedure: Procedure, steps: Sequence[Step | FactStep], settings: Mapping[str, Setting]
) -> Graph:
    """Return the graph of `steps` (in order) and `settings`."""
    return _Builder(procedure, steps, settings).graph()


class _Builder:
    def __init__(
        self,
        procedure: Procedure,
        steps: Sequence[Step | FactStep],
        settings: Mapping[str, Setting],
    ) -> None:
        self.procedure = procedure
        self.steps = steps
        self.settings = settings
        self.order = {step.id: place for place, step in enumerate(steps)}
        self.reads: dict[str, list[str]] = defaultdict(list)
        self.writes: dict[str, list[str]] = defaultdict(list)
        self.proves: dict[str, list[str]] = defaultdict(list)
        self.sources: dict[str, set[str]] = defaultdict(set)
        self.carries = {SETTING + setting: frozenset((setting,)) for setting in settings}

    def graph(self) -> Graph:
        """Return the graph."""
        self._index_settings()
        for setting in self.settings.values():
            self.sources[SETTING + setting.id] = self._of_setting(setting)
        for step in self.steps:
            self.sources[step.id] = self._of_step(step)
        return Graph(
            dependents=MappingProxyType(self._dependents()),
            readers=MappingProxyType(self._readers()),
            conditions=MappingProxyType(
                {step.id: frozenset(self._nodes(condition_names(step))) for step in self.steps}
            ),
            carries=MappingProxyType(self.carries),
        )

    def _index_settings(self) -> None:
        for step in self.steps:
            if isinstance(step, ReadBack):
                names = tuple(self.settings) if step.settings == "all" else step.settings
                self._carry(step.id, names, self.reads)
            elif isinstance(step, Write):
                self._carry(step.id, step.settings, self.writes)
        for step in self.steps:
            if isinstance(step, PowerCycle):
                for name in self._proved_by(step):
                    self.proves[name].append(step.id)

    def _carry(self, step: str, names: Sequence[str], into: dict[str, list[str]]) -> None:
        self.carries[step] = frozenset(names)
        for name in names:
            into[name].append(step)

    def _proved_by(self, step: PowerCycle) -> tuple[str, ...]:
        if step.settings == "written":
            return tuple(name for name in self.settings if self.writes.get(name))
        return tuple(self.settings) if step.settings == "all" else step.settings

    def _of_setting(self, setting: Setting) -> set[str]:
        if setting.intended is None:
            return set(self.reads.get(setting.id, ()))
        expressions = [with_choices(setting.intended, setting.choices)]
        expressions += [with_choices(one, ()) for one in setting.range or ()]
        if setting.equal_within is not None:
            expressions.append(with_choices(setting.equal_within, ()))
        return self._nodes(name for one in expressions for name in one.names)

    def _of_step(self, step: Step | FactStep) -> set[str]:
        found = self._nodes(step_names(step, self.procedure))
        found |= self._nodes(f"{name}.written" if name in self.settings else name
                             for name in step.rests_on)  # fmt: skip
        if isinstance(step, Write):
            found |= {SETTING + name for name in step.settings}
        if isinstance(step, PowerCycle):
            found |= self._nodes(observed_names(step, self.steps))
            for name in self._proved_by(step):
                found.add(SETTING + name)
                found.update(self.writes.get(name) or self.reads.get(name) or ())
        return found - {step.id}

    def _nodes(self, names: Iterable[str]) -> set[str]:
        """Return the nodes behind dotted names; a name that is no value here has none."""
        found: set[str] = set()
        for name in names:
            root, _, which = name.partition(".")
            if root in self.order:
                found.add(root)
            elif root in self.settings:
                found |= self._behind(root, which)
        return found

    def _behind(self, setting: str, which: str) -> set[str]:
        if which == "found":
            return set(self.reads.get(setting, ()))
        found = {SETTING + setting}
        if which in ("written", "left"):
            found.update(self.writes.get(setting, ()))
        if which == "left":
            found.update(self.proves.get(setting, ()))
        return found

    def _dependents(self) -> dict[str, tuple[str, ...]]:
        resting: dict[str, list[str]] = defaultdict(list)
        for node, sources in self.sources.items():
            for source in sources:
                resting[source].append(node)
        return {source: tuple(sorted(nodes, key=self._place)) for source, nodes in resting.items()}

    def _place(self, node: str) -> tuple[int, str]:
        return self.order.get(node, -1), node

    def _readers(self) -> dict[str, tuple[str, ...]]:
        found = {}
        for name in self.settings:
            own = set(self.writes.get(name, ()))
            reading = (
                step.id
                for step in self.steps
                if step.id not in own and not own.isdisjoint(self.sources[step.id])
                and (SETTING + name) in self.sources[step.id]
            )  # fmt: skip
            found[name] = tuple(reading)
        return found
