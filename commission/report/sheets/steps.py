"""The steps as tables: what was asked, given and judged, by whom and when; or what is left."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.closeness import shown
from commission.job.route import route
from commission.job.state import Status
from commission.report.document import Column, Table
from commission.report.times import clock, in_table

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.job.route import RouteLine
    from commission.job.state import Answer
    from commission.report.subject import Subject

_COLUMNS: Final = (
    Column("number", "step", 0.55),
    Column("title", "what", 2.1),
    Column("given", "given", 1.5),
    Column("verdict", "state", 0.9),
    Column("because", "judged", 2.6),
    Column("by", "by, at (UTC)", 1.3),
)
_FEW: Final = 12
"""Values of an answer that are listed; tables of settings stand in the ledger."""


def stages(subject: Subject) -> Table:
    """Return how the steps of each stage ended, counted."""
    counts: dict[str, dict[Status, int]] = {}
    for line in route(subject.state):
        counts.setdefault(line.stage, {})
        if line.status is not Status.DORMANT:
            of_stage = counts[line.stage]
            of_stage[line.status] = of_stage.get(line.status, 0) + 1
    rows = tuple(
        (stage, ", ".join(f"{count} {status.value}" for status, count in found.items()) or "-")
        for stage, found in counts.items()
    )
    columns = (Column("stage", "stage", 1.4), Column("steps", "steps", 2))
    return Table("stages", columns, rows)


def of_stage(subject: Subject, stage: str) -> Table:
    """Return the steps of one stage with their answers; remedies not needed are left out."""
    rows: list[tuple[str, ...]] = []
    loud = set()
    for line in _lines(subject):
        if line.stage != stage:
            continue
        if line.status in (Status.FAILED, Status.CONCEDED, Status.DUE_AGAIN):
            loud.add(len(rows))
        rows.append(row(subject, line))
    return Table("steps", _COLUMNS, tuple(rows), "No steps.", frozenset(loud))


def everything(subject: Subject) -> Table:
    """Return the steps of all stages, for data."""
    return Table("steps", _COLUMNS, tuple(row(subject, line) for line in _lines(subject)))


def row(subject: Subject, line: RouteLine) -> tuple[str, ...]:
    """Return one step's row."""
    stands = subject.state.steps[line.step]
    answer = stands.answer
    if answer is None:
        return (line.number, line.title, "-", line.word, line.reason or "-", "-")
    because = answer.because
    if line.reason and line.reason != because:
        because = f"{because} {line.reason}".strip()
    tries = f" (try {answer.attempt})" if answer.attempt > 1 else ""
    corrected = " (corrected)" if answer.corrected else ""
    at = subject.entries[answer.seq - 1].at
    is_one_day = subject.entries[0].at[:10] == subject.entries[-1].at[:10]
    by = f"{answer.by} {clock(at) if is_one_day else in_table(at)}, entry\u00a0{answer.seq}"
    return (line.number, line.title, given(subject, answer), f"{line.word}{tries}{corrected}",
            because or "-", by)  # fmt: skip


def given(subject: Subject, answer: Answer) -> str:
    """Return what was given, value by value; of long tables only how many."""
    values = [
        (name, text) for piece in answer.parts.values() for name, text in _shown(piece)
    ] or [(name, text) for entry in subject.entries[: answer.seq]
          if entry.step == subject.entries[answer.seq - 1].step and entry.kind == "part"
          and entry.attempt == answer.attempt
          for name, text in _shown(entry.body["given"])]  # fmt: skip
    if len(values) == 1:
        return values[0][1]
    if len(values) > _FEW:
        return f"{len(values)} values"
    step = subject.entries[answer.seq - 1].step or ""
    labels = _labels(subject, step)
    return ", ".join(f"{labels.get(name, name)} {text}" for name, text in values) or "-"


def _labels(subject: Subject, step: str) -> dict[str, str]:
    """Return what people call the values of a step."""
    plan = subject.state.plan
    fields = getattr(plan.planned(step).step, "fields", ())
    return {name: one.label for name, one in plan.settings.items()} | {
        one.id: one.label for one in fields
    }


def _shown(piece: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    for name, value in piece.items():
        yield name, shown(value)


def _lines(subject: Subject) -> Iterator[RouteLine]:
    return (line for line in route(subject.state) if line.status is not Status.DORMANT)
