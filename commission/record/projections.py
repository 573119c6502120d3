"""What new entries change in the tables beside the record: pure, from states and entries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from commission.errors import DamagedError
from commission.job.state import JobState, Opened, SettingState, Status
from commission.record.standing import standing, visit
from commission.record.store import Change, JobLine, ReadingRow, SettingRow

if TYPE_CHECKING:
    from commission.job.entry import Digest, Entry

_WITH_ANSWERS = frozenset({"part", "answered", "corrected"})


def change(before: JobState, after: JobState, entries: Sequence[Entry], head: Digest) -> Change:
    """Return what `entries`, which lead from one state to the other, change in the projections.

    From the empty state it is everything: the same function keeps and rebuilds them.
    """
    readings = tuple(row for entry in entries for row in _readings(entry))
    return Change(
        job_line(after, entries[-1].by, head),
        readings,
        _settings(before, after),
        standing(after, entries),
        visit(before, after),
    )


def job_line(state: JobState, by: str, head: Digest) -> JobLine:
    """Return a job as a list shows it; `by` made its last entry, whose digest is `head`."""
    from commission.job.route import progress

    opened = opened_of(state)
    plan = state.plan
    done, total = progress(state)
    is_open = not state.outcome and state.frontier < len(plan.steps)
    return JobLine(
        job=opened.job,
        bike=" · ".join(str(value) for value in opened.bike.values() if value),
        procedure=opened.procedure,
        revision=opened.revision,
        title=plan.procedure.title,
        step_title=plan.steps[state.frontier].step.title if is_open else "",
        done=done,
        total=total,
        status=status_of(state),
        opened_at=opened.at,
        last_at=state.at,
        by=by,
        practice=opened.practice,
        outcome=state.outcome,
        seq=state.seq,
        head=head,
    )


def opened_of(state: JobState) -> Opened:
    """Return what the opening entry said.

    Raises:
        DamagedError: the state has none: the record does not begin with its opening.
    """
    if state.opened is None:
        raise DamagedError("The record does not begin with the opening of a job.")
    return state.opened


def status_of(state: JobState) -> str:
    """Return how the job stands, in a few words; the most pressing thing first."""
    if state.outcome:
        return state.outcome
    if state.stopped:
        return "stopped until a lead resumes it"
    if state.frontier >= len(state.plan.steps):
        return "all steps done"
    step = state.steps.get(state.plan.steps[state.frontier].step.id)
    if step is not None and step.status in _PRESSING:
        return str(step.status)
    return "left" if state.away else "open"


_PRESSING = frozenset({Status.FAILED, Status.HOLD, Status.DUE_AGAIN})


def _readings(entry: Entry) -> Iterator[ReadingRow]:
    if entry.kind not in _WITH_ANSWERS:
        return
    for part, given in _parts(entry):
        for name, value in given.items():
            if isinstance(value, Mapping) and "typed" in value:
                yield ReadingRow(
                    entry.stream, entry.seq, part, name, entry.step or "", entry.attempt,
                    str(value["typed"]), str(value.get("unit") or ""), entry.at, entry.by,
                )  # fmt: skip


def _parts(entry: Entry) -> Iterator[tuple[str, Mapping[str, Any]]]:
    if entry.kind == "part":
        yield str(entry.body.get("part", "")), entry.body.get("given") or {}
    else:
        yield from (entry.body.get("parts") or {}).items()


def _settings(before: JobState, after: JobState) -> tuple[SettingRow, ...]:
    if after.settings is before.settings and after.steps is before.steps:
        return ()
    changed = [
        name for name, state in after.settings.items() if before.settings.get(name) is not state
    ]
    if not changed:
        return ()
    from commission.job.ledger import ledger

    stream = opened_of(after).job
    fates = {line.setting: str(line.fate) for line in ledger(after)}
    return tuple(
        _setting_row(stream, name, after.settings[name], fates.get(name, "")) for name in changed
    )


def _setting_row(stream: str, name: str, state: SettingState, fate: str) -> SettingRow:
    return SettingRow(
        stream=stream,
        setting=name,
        found=_text(state.found.given if state.found else None),
        intended=_text(state.intended),
        written=_text(state.written.given if state.written else None),
        left_values=" · ".join(_text(held.given) for held in state.left),
        fate=fate,
    )


def _text(given: object) -> str:
    if given is None:
        return ""
    if isinstance(given, Mapping):
        return f"{given.get('typed', '')} {given.get('unit') or ''}".strip()
    if isinstance(given, bool):
        return "yes" if given else "no"
    return str(given)
