"""What jobs show together: counted from records, beside what each number rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.audited import with_state
from commission.audit.overview import overview
from commission.job.plan import plan
from commission.job.state import Concession, Status
from commission.practice.faults import apply, shipped
from commission.practice.physics.varied import sound_build
from commission.practice.run import arriving, perform

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.audit.audited import AuditedJob

AS_OF = "2031-01-01T00:00:00.000000Z"


@pytest.fixture(scope="module")
def faulty() -> list[AuditedJob]:
    """Jobs on bikes whose direction setting reverts at a cold cycle, and on sound ones."""
    from commission.procedure import load

    path = next(path for name, _, path in load.shipped() if name == "controller-exchange")
    loaded = load.load(path)
    assert loaded.procedure is not None
    planned = plan(loaded.procedure)
    fault = next(one for one in shipped().faults if one.id == "direction-lost-when-cold")
    found = []
    for seed in range(4):
        build = arriving(planned, sound_build(seed))
        if seed % 2 and fault.possible(build):
            build = apply(build, fault)
        run = perform(planned, build, seed)
        found.append(with_state(run.entries, run.state, AS_OF))
    return found


def test_honest_jobs_pass_at_the_first_answer(record: Callable[..., Any]) -> None:
    found = overview(record(number=number).audited() for number in range(3))
    passed, of = found.first_pass_rate("gearing-change")
    assert (found.jobs, found.released, found.not_whole) == (3, 3, 0)
    assert passed == of > 0
    assert not any(one.failures for one in found.steps.values())


def test_time_in_stages_adds_up_to_the_time_worked(record: Callable[..., Any]) -> None:
    job = record().audited()
    found = overview([job])
    about_steps = sum(
        gap for entry, gap in zip(job.entries, job.gaps, strict=True) if entry.step is not None
    )
    assert sum(one.seconds for one in found.stages.values()) == pytest.approx(about_steps)


def test_a_night_between_two_steps_is_no_work(record: Callable[..., Any]) -> None:
    job = record().audited()
    gaps = (*job.gaps[:50], job.gaps[50] + 40_000.0, *job.gaps[51:])
    by_day, over_night = overview([job]), overview([replace(job, gaps=gaps)])
    assert max(one.longest for one in over_night.stages.values()) <= max(
        one.longest for one in by_day.stages.values()
    )


def test_a_setting_that_reverts_is_counted_by_model(faulty: list[AuditedJob]) -> None:
    found = overview(faulty)
    reverted = [one for one in found.settings.values() if one.fates["reverted"]]
    assert reverted
    assert all(one.model == "virtual bike" and one.written == 4 for one in reverted)


def test_failures_are_counted_alike_whatever_their_figures(faulty: list[AuditedJob]) -> None:
    found = overview(faulty)
    failed = [one for one in found.steps.values() if one.failures]
    assert failed
    assert all(not any(map(str.isdigit, said)) for one in failed for said in one.failures)
    assert any(one.first_pass < one.jobs for one in failed)


def test_an_open_concession_says_whether_it_has_run_out(record: Callable[..., Any]) -> None:
    job = record().audited()
    step = "wheel_direction"
    for expiry, is_over in (("2030-06-01", True), ("2031-06-01", False)):
        leave = Concession(5, "Mara Quill", "lead", "this bike", expiry, "spare ordered")
        stands = replace(job.state.steps[step], status=Status.CONCEDED, concession=leave)
        state = replace(job.state, steps={**job.state.steps, step: stands})
        conceded = replace(job, state=state)
        assert [one.is_over for one in overview([conceded]).concessions] == [is_over]
        from commission.audit.run import checked

        found = [one for one in checked(conceded, quick=True) if one.check == "concession"]
        assert [one.severity for one in found] == (["minor"] if is_over else [])


def test_a_concession_by_who_did_the_step_is_found(record: Callable[..., Any]) -> None:
    from commission.audit.run import checked

    job = record().audited()
    step = "wheel_direction"
    doer = job.state.steps[step].answer.by
    leave = Concession(5, doer, "lead", "this bike", "2040-01-01", "late")
    stands = replace(job.state.steps[step], status=Status.CONCEDED, concession=leave)
    state = replace(job.state, steps={**job.state.steps, step: stands})
    found = list(checked(replace(job, state=state), quick=True))
    assert [one.check for one in found if not one.is_sign] == ["concession"]


def test_people_stand_by_name_with_what_their_numbers_rest_on(record: Callable[..., Any]) -> None:
    jobs = [record(person=person).audited() for person in (1, 0)]
    data = overview(jobs).to_json()
    names = [one["name"] for one in data["technicians"]]
    assert names == sorted(names)
    one = next(one for one in data["technicians"] if one["name"].startswith("Person 1"))
    assert (one["jobs"], one["released"], one["procedures"]) == (1, 1, {"gearing-change": 1})
    assert one["answers"] > 0


def test_a_record_that_is_not_whole_is_counted_as_that(record: Callable[..., Any]) -> None:
    job = replace(record().audited(), state=None)
    found = overview([job])
    assert (found.jobs, found.not_whole) == (0, 1)
