"""What a set of trials says of a procedure: fault by step, and the figures that sum it up."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

from commission.practice.judging import GOOD
from commission.practice.trial import HONEST, SOUND

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.practice.faults import Fault
    from commission.practice.trial import Trial

FORMAT: Final = "commission-fault-trials-1"
_WORST: Final = ("escaped", "stuck", "false alarm", "caught", "remedied", "no effect", "sound")
"""The outcome that speaks for a fault tried on several bikes: the first of these that occurs."""
_EARLY: Final = frozenset({"before power", "on the stand"})
ENOUGH: Final = 0.95
"""Share of the faults that a procedure has to catch."""


@dataclass(frozen=True, slots=True)
class Row:
    """One fault and what its trials with one pilot came to."""

    fault: Fault
    pilot: str
    trials: tuple[Trial, ...]

    @property
    def outcome(self) -> str:
        """The worst outcome of its trials."""
        seen = {trial.verdict.outcome for trial in self.trials}
        return next((outcome for outcome in _WORST if outcome in seen), "not tried")

    @property
    def good(self) -> bool:
        """Whether no trial released the fault."""
        return self.outcome in GOOD

    @property
    def steps(self) -> tuple[tuple[str, int], ...]:
        """The steps that found it, with how often, most often first."""
        found = Counter(trial.verdict.found.step for trial in self.trials)
        found.pop("", None)
        return tuple(found.most_common())

    @property
    def where(self) -> str:
        """How far the bike had come at the latest of the findings; empty where nothing found it."""
        seen = {trial.verdict.found.where for trial in self.trials}
        return next((one for one in ("riding", "on the stand", "before power") if one in seen), "")

    @property
    def early(self) -> bool:
        """Whether every trial found it before power, or on the stand before it could hurt."""
        return self.good and all(
            trial.verdict.outcome in ("remedied", "no effect", "caught")
            and (trial.verdict.found.where in _EARLY or not trial.verdict.found.step)
            and not trial.verdict.found.harm
            for trial in self.trials
        )

    @property
    def speaking(self) -> Trial:
        """The trial that shows the worst outcome."""
        return next(t for t in self.trials if t.verdict.outcome == self.outcome)


@dataclass(frozen=True, slots=True)
class Figures:
    """The sums for one pilot; faults that no bench can find are counted apart."""

    pilot: str
    faults: int
    """Those that a bench could find."""
    caught: int
    """Not released with the fault on any bike: caught, or mended on the way."""
    escaped: int
    stuck: int
    can_injure: int
    early: int
    """Of those that can injure: found before power, or on the stand before they could hurt."""
    beyond: int
    """Faults that no bench can find."""
    beyond_caught: int

    @property
    def share(self) -> float:
        """Caught of all, from 0 to 1."""
        return self.caught / self.faults if self.faults else 1.0


@dataclass(frozen=True)
class Matrix:
    """All trials of one procedure."""

    procedure: str
    revision: int
    title: str
    steps: Mapping[str, str]
    """The procedure's steps in order, with their titles."""
    faults: tuple[Fault, ...]
    trials: tuple[Trial, ...]
    seconds: float = 0.0
    """Of the clock on the wall."""
    pilots: tuple[str, ...] = (HONEST,)
    says: Mapping[str, str] = field(default_factory=dict)
    """What each pilot does, in words."""

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """A row for each fault and pilot, in the catalogue's order."""
        sorted_out: dict[tuple[str, str], list[Trial]] = {}
        for trial in self.trials:
            sorted_out.setdefault((trial.pilot, trial.fault), []).append(trial)
        return tuple(
            Row(fault, pilot, tuple(sorted_out[pilot, fault.id]))
            for pilot in self.pilots
            for fault in self.faults
            if (pilot, fault.id) in sorted_out
        )

    @property
    def sound(self) -> tuple[Trial, ...]:
        """The trials of sound bikes."""
        return tuple(trial for trial in self.trials if trial.fault == SOUND)

    @property
    def alarms(self) -> tuple[Trial, ...]:
        """The sound bikes that were not released, or not sound any more."""
        return tuple(trial for trial in self.sound if trial.verdict.outcome != "sound")

    def of(self, pilot: str) -> tuple[Row, ...]:
        """Return the rows of one pilot."""
        return tuple(row for row in self.rows if row.pilot == pilot)

    def figures(self, pilot: str = HONEST) -> Figures:
        """Return the sums for one pilot."""
        rows = self.of(pilot)
        bench = [row for row in rows if row.fault.bench is None]
        beyond = [row for row in rows if row.fault.bench is not None]
        grave = [row for row in bench if row.fault.severity == "can injure"]
        return Figures(
            pilot=pilot,
            faults=len(bench),
            caught=_count(bench, good=True),
            escaped=sum(row.outcome == "escaped" for row in bench),
            stuck=sum(row.outcome == "stuck" for row in bench),
            can_injure=len(grave),
            early=sum(row.early for row in grave),
            beyond=len(beyond),
            beyond_caught=_count(beyond, good=True),
        )

    @property
    def shortfalls(self) -> tuple[str, ...]:
        """What keeps the procedure from being proved, in sentences; empty where nothing does."""
        honest, said = self.figures(), []
        late = [r for r in self.of(HONEST) if _is_grave(r) and not r.early]
        if late:
            said.append(f"Can injure, and not found in time: {_names(late)}.")
        if honest.share < ENOUGH:
            said.append(f"{honest.caught} of {honest.faults} faults caught: under {ENOUGH:.0%}.")
        stuck = [row for row in self.of(HONEST) if row.outcome == "stuck"]
        if stuck:
            said.append(f"Not known, since a step had no answer: {_names(stuck)}.")
        if self.alarms:
            seeds = ", ".join(str(trial.seed) for trial in self.alarms[:10])
            said.append(f"{len(self.alarms)} of {len(self.sound)} sound bikes stopped: {seeds}.")
        return tuple(said)

    @property
    def cpu_s(self) -> float:
        """Processor time of all trials, s."""
        return sum(trial.cpu_s for trial in self.trials)

    def to_json(self) -> dict[str, Any]:
        """Return everything for machine readers; the README describes it."""
        return {
            "format": FORMAT,
            "procedure": {"id": self.procedure, "revision": self.revision, "title": self.title},
            "seconds": round(self.seconds, 2),
            "cpu_seconds": round(self.cpu_s, 2),
            "figures": {pilot: _figures_json(self.figures(pilot)) for pilot in self.pilots},
            "shortfalls": list(self.shortfalls),
            "steps": dict(self.steps),
            "sound": [_trial_json(trial) for trial in self.sound],
            "faults": [_row_json(row) for row in self.rows],
        }


def _is_grave(row: Row) -> bool:
    return row.fault.severity == "can injure" and row.fault.bench is None


def _count(rows: Iterable[Row], *, good: bool) -> int:
    return sum(row.good is good for row in rows)


def _names(rows: Sequence[Row]) -> str:
    return ", ".join(row.fault.id for row in rows)


def _figures_json(figures: Figures) -> dict[str, Any]:
    return {
        "faults": figures.faults,
        "caught": figures.caught,
        "share": round(figures.share, 4),
        "escaped": figures.escaped,
        "stuck": figures.stuck,
        "can_injure": figures.can_injure,
        "can_injure_in_time": figures.early,
        "beyond_bench": figures.beyond,
        "beyond_bench_caught": figures.beyond_caught,
    }


def _row_json(row: Row) -> dict[str, Any]:
    fault = row.fault
    return {
        "id": fault.id,
        "title": fault.title,
        "group": fault.group,
        "severity": fault.severity,
        "double": fault.double,
        "bench": fault.bench,
        "pilot": row.pilot,
        "outcome": row.outcome,
        "where": row.where,
        "steps": dict(row.steps),
        "trials": [_trial_json(trial) for trial in row.trials],
    }


def _trial_json(trial: Trial) -> dict[str, Any]:
    verdict = trial.verdict
    return {
        "seed": trial.seed,
        "outcome": verdict.outcome,
        "step": verdict.found.step or None,
        "because": verdict.found.because or None,
        "where": verdict.found.where or None,
        "harm_before": list(verdict.found.harm),
        "met": list(verdict.met),
        "entries": trial.entries,
    }
