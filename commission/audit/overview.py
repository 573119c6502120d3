"""What many jobs show together, for a workshop to learn from: counted job by job, in little memory.

Numbers stand beside how much they rest on, and nobody is ranked: who does the difficult bikes has
more failures.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from commission.errors import CommissionError
from commission.job.ledger import ledger
from commission.job.state import Fate, Status

if TYPE_CHECKING:
    from collections.abc import Iterable

    from commission.audit.audited import AuditedJob
    from commission.job.plan import PlannedStep

_WORK_GAP_S = 1800.0
"""Longer than this between two entries is no work at the step: a pause, a night. Our own figure."""


@dataclass(slots=True)
class StepCount:
    """One step of one procedure."""

    procedure: str
    step: str
    title: str
    jobs: int = 0
    """Jobs in which it was answered."""
    first_pass: int = 0
    """Jobs in which its first answer passed, or was marginal."""
    failures: Counter[str] = field(default_factory=Counter)
    """What was said of failures, without the figures."""
    remedied: int = 0
    """Jobs in which it passed after a remedy."""


@dataclass(slots=True)
class StageTime:
    """Time at work in one stage of one procedure."""

    procedure: str
    stage: str
    title: str
    jobs: int = 0
    seconds: float = 0.0
    longest: float = 0.0

    @property
    def mean_s(self) -> float:
        """The mean over the jobs in which it was worked at."""
        return self.seconds / self.jobs if self.jobs else 0.0


@dataclass(slots=True)
class SettingCount:
    """How one setting fared on one model of bike."""

    model: str
    setting: str
    label: str
    written: int = 0
    fates: Counter[str] = field(default_factory=Counter)
    earlier: int = 0
    """Jobs in which it had to be written more than once."""


@dataclass(frozen=True, slots=True)
class OpenConcession:
    """A concession under which a bike was let go."""

    job: str
    bike: str
    step: str
    by: str
    scope: str
    expiry: str
    is_over: bool


@dataclass(slots=True)
class Technician:
    """Somebody's jobs, beside what they rest on."""

    name: str
    jobs: int = 0
    released: int = 0
    entries: int = 0
    procedures: Counter[str] = field(default_factory=Counter)
    answers: int = 0
    failures: int = 0
    corrections: int = 0


@dataclass(slots=True)
class Overview:
    """Everything counted so far; `take` adds a job."""

    jobs: int = 0
    released: int = 0
    not_whole: int = 0
    steps: dict[tuple[str, str], StepCount] = field(default_factory=dict)
    stages: dict[tuple[str, str], StageTime] = field(default_factory=dict)
    settings: dict[tuple[str, str], SettingCount] = field(default_factory=dict)
    concessions: list[OpenConcession] = field(default_factory=list)
    technicians: dict[str, Technician] = field(default_factory=dict)

    def take(self, job: AuditedJob) -> None:
        """Count one more job; of one that is not whole only that it is not."""
        if job.state is None:
            self.not_whole += 1
            return
        self.jobs += 1
        self.released += job.is_released
        _count_steps(self, job)
        _count_times(self, job)
        _count_settings(self, job)
        _count_concessions(self, job)
        _count_people(self, job)

    def first_pass_rate(self, procedure: str) -> tuple[int, int]:
        """Return in how many answered steps of a procedure the first answer passed, and of them."""
        mine = [one for one in self.steps.values() if one.procedure == procedure]
        return sum(one.first_pass for one in mine), sum(one.jobs for one in mine)

    def to_json(self) -> dict[str, Any]:
        """Return it for programs."""
        return {
            "jobs": self.jobs, "released": self.released, "not_whole": self.not_whole,
            "procedures": self._procedures(),
            "steps": [
                {"procedure": one.procedure, "step": one.step, "title": one.title,
                 "jobs": one.jobs, "first_pass": one.first_pass, "remedied": one.remedied,
                 "failures": dict(one.failures.most_common(5))}
                for one in self.steps.values()
            ],
            "stages": [
                {"procedure": one.procedure, "stage": one.stage, "title": one.title,
                 "jobs": one.jobs, "mean_s": round(one.mean_s), "longest_s": round(one.longest)}
                for one in self.stages.values()
            ],
            "settings": [
                {"model": one.model, "setting": one.setting, "label": one.label,
                 "written": one.written, "written_again": one.earlier, "fates": dict(one.fates)}
                for one in self.settings.values()
            ],
            "concessions": [
                {name: getattr(one, name) for name in OpenConcession.__slots__}
                for one in self.concessions
            ],
            "technicians": [
                {"name": one.name, "jobs": one.jobs, "released": one.released,
                 "entries": one.entries, "procedures": dict(one.procedures),
                 "answers": one.answers, "failures": one.failures,
                 "corrections": one.corrections}
                for one in sorted(self.technicians.values(), key=lambda each: each.name)
            ],
        }  # fmt: skip

    def _procedures(self) -> list[dict[str, Any]]:
        names = dict.fromkeys(one.procedure for one in self.steps.values())
        found = []
        for name in names:
            passed, of = self.first_pass_rate(name)
            found.append({"procedure": name, "first_pass": passed, "answered": of})
        return found


def overview(jobs: Iterable[AuditedJob]) -> Overview:
    """Return what jobs show together."""
    found = Overview()
    for job in jobs:
        found.take(job)
    return found


def _count_steps(found: Overview, job: AuditedJob) -> None:
    procedure, seen = _procedure(job), set()
    for entry in job.entries:
        if entry.kind != "answered" or entry.step is None or job.state is None:
            continue
        planned = job.state.plan.planned(entry.step)
        if planned.kind == "fact":
            continue
        count = _step(found, procedure, planned)
        passed = entry.body["verdict"] != "fail"
        if entry.step not in seen:
            seen.add(entry.step)
            count.jobs += 1
            count.first_pass += passed
        if not passed:
            count.failures[_without_figures(entry.body.get("because", ""))] += 1
        elif job.state.plan.remedies.get(entry.step) and entry.attempt > 1:
            count.remedied += 1


def _step(found: Overview, procedure: str, planned: PlannedStep) -> StepCount:
    key = (procedure, planned.id)
    if key not in found.steps:
        found.steps[key] = StepCount(procedure, planned.id, planned.step.title)
    return found.steps[key]


def _without_figures(because: str) -> str:
    """Return a sentence with every number as `#`, so that like failures count as one."""
    words = because[:160].split()
    return " ".join("#" if any(letter.isdigit() for letter in word) else word for word in words)


def _count_times(found: Overview, job: AuditedJob) -> None:
    state, spent = job.state, dict[str, float]()
    if state is None:
        return
    titles: dict[str, str] = {}
    for entry, gap in zip(job.entries, job.gaps, strict=True):
        if entry.step is None:
            continue
        planned = state.plan.planned(entry.step)
        titles[planned.stage_id] = planned.stage_title
        worked = gap if 0.0 <= gap <= _WORK_GAP_S else 0.0
        spent[planned.stage_id] = spent.get(planned.stage_id, 0.0) + worked
    procedure = _procedure(job)
    for stage, seconds in spent.items():
        key = (procedure, stage)
        if key not in found.stages:
            found.stages[key] = StageTime(procedure, stage, titles[stage])
        one = found.stages[key]
        one.jobs, one.seconds = one.jobs + 1, one.seconds + seconds
        one.longest = max(one.longest, seconds)


def _count_settings(found: Overview, job: AuditedJob) -> None:
    state = job.state
    if state is None or state.opened is None:
        return
    model = str(state.opened.bike.get("controller") or state.opened.bike.get("model") or "")
    try:
        lines = ledger(state)
    except CommissionError:
        return  # what cannot be computed from this record is the audit's matter
    for line in lines:
        stands = state.settings.get(line.setting)
        if stands is None or stands.written is None:
            continue
        key = (model, line.setting)
        if key not in found.settings:
            found.settings[key] = SettingCount(model, line.setting, line.label)
        one = found.settings[key]
        one.written += 1
        one.fates[str(Fate.REVERTED if line.earlier else line.fate)] += 1
        one.earlier += bool(line.earlier)


def _count_concessions(found: Overview, job: AuditedJob) -> None:
    state = job.state
    if state is None or state.opened is None or not job.is_released:
        return
    for step, stands in state.steps.items():
        leave = stands.concession
        if stands.status is Status.CONCEDED and leave is not None:
            bike = " · ".join(str(value) for value in state.opened.bike.values() if value)
            found.concessions.append(
                OpenConcession(
                    job.stream, bike, step, leave.by, leave.scope, leave.expiry,
                    leave.expiry < job.as_of[:10],
                )
            )  # fmt: skip


def _count_people(found: Overview, job: AuditedJob) -> None:
    mine: set[str] = set()
    for entry in job.entries:
        if entry.kind == "not_applicable":
            continue  # the program's own
        one = found.technicians.setdefault(entry.by, Technician(entry.by))
        one.entries += 1
        if entry.kind == "answered":
            one.answers += 1
            one.failures += entry.body["verdict"] == "fail"
            mine.add(entry.by)
        one.corrections += entry.kind == "corrected"
    for name in mine:
        one = found.technicians[name]
        one.jobs += 1
        one.released += job.is_released
        one.procedures[_procedure(job)] += 1


def _procedure(job: AuditedJob) -> str:
    return str(job.entries[0].body["procedure"]["id"])
