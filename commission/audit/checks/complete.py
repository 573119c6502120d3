"""Whether everything was done that the procedure asks: of jobs that were released or finished."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.audit.check import Check, Declared
from commission.audit.checks import holds
from commission.audit.finding import Finding, first
from commission.job.condition import not_applicable_because
from commission.job.state import JobState, Status

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob
    from commission.job.entry import Entry

_STEPS: Final = Declared(
    "steps",
    "Every step that applies",
    "Each step of a released job was answered well, conceded, or ruled out by its condition, which "
    "is evaluated again; a remedy that was not called for is left out.",
    "major",
    "21 CFR 11.10(f): sequencing of steps and events; IEC 62382",
)
_AS_FOUND: Final = Declared(
    "as-found",
    "Settings read before they were written",
    "Each setting written was read as found in an earlier entry.",
    "major",
    "ISO/IEC 17025:2017, 7.8.4.1 d: results before and after any adjustment",
)
_PROVED: Final = Declared(
    "persistence",
    "Settings proved after the last write",
    "Each setting written in a released job was read again after a power cycle that followed its "
    "last write.",
    "major",
    "our inference from IEC 60204-1, 18: after a change, what it may have influenced is "
    "tested anew",
)


def _steps(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None or not job.is_released:
        return
    last = _last_words(job.entries)
    for planned in state.plan.steps:
        entry = last.get(planned.id)
        if entry is None:
            if planned.remedy_of is None:
                said = f"“{planned.step.title}” was never answered."
                yield Finding(_STEPS.id, "major", job.stream, said, step=planned.id)
        elif entry.kind == "not_applicable":
            yield from _ruled_out(job, state, entry)
        elif (
            entry.kind != "conceded"
            and entry.body["verdict"] == "fail"
            and state.steps[planned.id].status is not Status.DORMANT
        ):
            said = f"“{planned.step.title}” failed and was not done again."
            yield Finding(_STEPS.id, "major", job.stream, said, entry.seq, planned.id, entry.by)


def _last_words(entries: tuple[Entry, ...]) -> dict[str, Entry]:
    """Return the last entry that concludes each step."""
    kinds = ("answered", "corrected", "not_applicable", "conceded")
    return {entry.step: entry for entry in entries if entry.kind in kinds and entry.step}


def _ruled_out(job: AuditedJob, state: JobState, entry: Entry) -> Iterator[Finding]:
    condition = state.plan.planned(entry.step or "").step.when
    if condition is None or not not_applicable_because(state, condition):
        said = f"Left out as not applicable, but by what was answered {condition or 'it'} holds."
        yield Finding(_STEPS.id, "major", job.stream, said, entry.seq, entry.step or "", entry.by)


def _as_found(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None:
        return
    read: set[str] = set()
    told: set[str] = set()
    for entry in job.entries:
        if entry.kind != "part" or entry.step is None:
            continue
        kind = state.plan.planned(entry.step).kind
        names = set(entry.body["given"])
        if kind == "read_back":
            read |= names
        elif kind == "write":
            for name in sorted(names - read - told):
                told.add(name)
                said = f"{_label(state, name)} was written and had not been read as found."
                yield Finding(
                    _AS_FOUND.id, "major", job.stream, said, entry.seq, entry.step, entry.by
                )


def _proved(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None or not job.is_released:
        return
    for name, stands in state.settings.items():
        if stands.written is not None and not any(
            left.seq > stands.written.seq for left in stands.left
        ):
            said = f"{_label(state, name)} was not read again after a power cycle."
            yield Finding(
                _PROVED.id, "major", job.stream, said, stands.written.seq, stands.written.step,
                entries=first([stands.written.seq]),
            )  # fmt: skip


def _label(state: JobState, setting: str) -> str:
    return state.plan.settings[setting].label


CHECKS: Final = (
    Check(_STEPS, _steps),
    holds.CHECK,
    Check(_AS_FOUND, _as_found),
    Check(_PROVED, _proved),
)
