"""Where nothing was tampered with, no fault is found: faulty bikes, stops, retries, corrections."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.audited import with_state
from commission.audit.run import checked
from commission.errors import RefusedError
from commission.job import moves
from commission.job.advance import advance, begin
from commission.practice.altering import ChangeError
from commission.practice.faults import apply, shipped
from commission.practice.habits import ALL
from commission.practice.physics.varied import sound_build
from commission.practice.run import arriving, perform

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.audit.finding import Finding
    from commission.job.entry import Entry
    from commission.job.state import JobState

AS_OF = "2031-01-01T00:00:00.000000Z"


def faults(entries: tuple[Entry, ...], state: JobState) -> list[Finding]:
    job = with_state(entries, state, AS_OF)
    return [one for one in checked(job) if not one.is_sign]


def test_work_on_faulty_bikes_whatever_its_end_has_no_fault(record: Callable[..., Any]) -> None:
    plan = record("controller-exchange").audited().state.plan
    ends = set()
    for number, fault in enumerate(shipped().faults[::5]):
        build = arriving(plan, sound_build(number))
        try:
            build = apply(build, fault) if fault.possible(build) else build
        except ChangeError:
            continue  # this bike lacks what is to be changed
        run = perform(plan, build, number, ALL[number % len(ALL)])
        ends.add(run.ended.how)
        assert faults(run.entries, run.state) == [], fault.id
    assert {"released", "stopped"} <= ends


@pytest.mark.parametrize(
    "kind", ["fact", "measure", "series", "sweep", "read_back", "write", "power_cycle"]
)
def test_a_correction_is_judged_again_to_the_same(record: Callable[..., Any], kind: str) -> None:
    audited = record("controller-exchange").audited()
    plan, entries = audited.state.plan, audited.entries[:-1]
    state = begin(plan)
    for entry in entries:
        state = advance(state, entry)
    corrected = 0
    for planned in plan.steps:
        answer = state.steps[planned.id].answer
        if planned.kind != kind or answer is None:
            continue
        made = _correction(state, planned.id, answer.parts, entries[-1])
        if made is None:
            continue
        corrected += 1
        assert faults((*entries, made), advance(state, made)) == []
    assert corrected


def _correction(state: JobState, step: str, parts: Any, last: Entry) -> Entry | None:
    """Return the entry that corrects the first number of an answer a little, or None."""
    for part, given in parts.items():
        for name, value in given.items():
            if not isinstance(value, dict) or "typed" not in value:
                continue
            typed = f"{value['typed'][:-1]}{'3' if value['typed'][-1] != '3' else '4'}"
            try:
                (draft,) = moves.correct(
                    state, step, {part: {name: typed}}, "misread", last.by, last.instant
                )
            except RefusedError:
                continue
            return replace(
                last, seq=last.seq + 1, by=draft.by, kind=draft.kind, step=draft.step,
                attempt=draft.attempt, body=draft.body,
            )  # fmt: skip
    return None
