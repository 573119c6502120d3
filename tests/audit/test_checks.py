"""Each check finds its planted case, and is silent on an honest record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.audited import read_job, with_state
from commission.audit.catalogue import declared, get
from commission.audit.checks.across import CRITICAL, Copied, LastDigits, Pairs, chi_square
from commission.audit.run import across, checked
from commission.errors import RefusedError
from commission.job.entry import Clock

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Finding

    Give = Callable[..., Any]

SLUGS = (
    "controller-exchange", "gearing-change", "pack-change", "firmware-update",
    "direction-reverts", "ride-follow-up", "rotor-sensor-check", "borrower-limits",
)  # fmt: skip


def of(found: list[Finding], check: str) -> list[Finding]:
    return [one for one in found if one.check == check]


@pytest.mark.parametrize("slug", SLUGS)
def test_an_honest_record_gives_no_finding(record: Give, slug: str) -> None:
    assert record(slug).found() == []


def test_honest_jobs_of_one_person_show_no_sign_across_them(record: Give) -> None:
    jobs = [record(number=number).audited() for number in range(4)]
    assert across(jobs) == ()


def test_each_check_has_an_id_of_its_own_and_says_what_it_looks_for() -> None:
    ids = [one.id for one in declared()]
    assert len(set(ids)) == len(ids)
    assert all(one.looks_for and one.source for one in declared())
    with pytest.raises(RefusedError, match="There is no check"):
        get("fraud")


def test_a_changed_line_is_found_by_its_chain(record: Give) -> None:

    lines = record().lines()
    place = record().where("answered")
    lines[place] = lines[place].replace(b'"verdict":"pass"', b'"verdict":"fail"')
    stream = record().entries[0].stream
    job = read_job(lines, stream, None, "2031-01-01T00:00:00.000000Z", thorough=True)
    found = list(checked(job))
    assert [one.check for one in found] == ["whole"]
    assert found[0].seq == place + 1
    assert found[0].severity == "critical"


def test_a_missing_entry_chained_anew_is_no_legal_job(record: Give) -> None:
    job = record()
    del job.entries[job.where("answered")]
    assert "whole" in job.ids()


def test_a_widened_limit_is_found_from_the_readings_alone(record: Give) -> None:
    job = record()
    place = next(
        place
        for place, entry in enumerate(job.entries)
        if entry.kind == "answered" and entry.body["judged"]["checks"]
        and entry.body["judged"]["checks"][0]["check"] == "bounds"
    )  # fmt: skip
    judged = dict(job.entries[place].body["judged"])
    judged["checks"] = [{**judged["checks"][0], "high": 1e9}, *judged["checks"][1:]]
    job.change_body(place, judged=judged)
    found = job.found()
    assert of(found, "judged-from-readings")
    assert not of(found, "judged-again")  # the record agrees with itself: only the readings tell


def test_a_fail_recorded_as_pass_is_found_twice(record: Give) -> None:
    job = record()
    place = next(
        place
        for place, entry in enumerate(job.entries)
        if entry.kind == "answered" and entry.body["judged"]["checks"]
        and entry.body["judged"]["checks"][0]["check"] == "bounds"
    )  # fmt: skip
    judged = dict(job.entries[place].body["judged"])
    judged["checks"] = [{**judged["checks"][0], "value": 1e9}, *judged["checks"][1:]]
    found = job.change_body(place, judged=judged).found()
    assert [one.severity for one in of(found, "judged-again")] == ["major"]
    assert of(found, "judged-from-readings")


def sums(job: Any) -> int:
    return next(
        place
        for place, entry in enumerate(job.entries)
        if entry.kind == "answered" and entry.body["judged"].get("values")
        and "calculator" in entry.body["judged"]
    )  # fmt: skip


def test_a_result_that_its_calculator_does_not_give_is_found(record: Give) -> None:
    job = record()
    place = sums(job)
    judged = dict(job.entries[place].body["judged"])
    name = next(name for name, value in judged["values"].items() if isinstance(value, float))
    judged["values"] = {**judged["values"], name: judged["values"][name] * 1.01}
    found = of(job.change_body(place, judged=judged).found(), "judged-again")
    assert name in found[0].text


def test_a_result_of_another_version_is_told_apart(record: Give) -> None:
    job = record()
    place = sums(job)
    judged = {**job.entries[place].body["judged"], "version": 99}
    found = job.change_body(place, judged=judged).found()
    assert [one.severity for one in of(found, "judged-again")] == ["minor"]
    assert not of(found, "judged-from-readings")


def cross_checks(job: Any) -> int:
    return next(
        place
        for place, entry in enumerate(job.entries)
        if entry.kind == "answered" and "findings" in entry.body["judged"]
    )


@pytest.mark.parametrize("which", ["its own", "a calculator's"])
def test_cross_checks_of_another_version_are_told_apart(record: Give, which: str) -> None:
    job = record()
    place = cross_checks(job)
    judged = job.entries[place].body["judged"]
    findings = [dict(one) for one in judged["findings"]]
    changed = next(one for one in findings if one["calculators"])
    if which == "its own":
        changed["version"] = 99
    else:
        changed["calculators"] = dict.fromkeys(changed["calculators"], 99)
    values = {**judged["values"], "fits": judged["values"]["fits"] + 1}
    job.change_body(place, judged={**judged, "findings": findings, "values": values})
    found = job.found()
    assert [one.severity for one in of(found, "judged-again")] == ["minor"]
    assert "version 99" in of(found, "judged-again")[0].text
    assert not of(found, "judged-from-readings")


def test_a_count_of_cross_checks_that_they_do_not_give_is_found(record: Give) -> None:
    job = record()
    place = cross_checks(job)
    judged = job.entries[place].body["judged"]
    values = {**judged["values"], "fits": judged["values"]["fits"] + 1}
    found = job.change_body(place, judged={**judged, "values": values}).found()
    assert [one.severity for one in of(found, "judged-from-readings")] == ["major"]


def without(job: Any, *places: int) -> AuditedJob:
    """Return a job whose state is kept though entries are gone: as a faulty tool would leave it."""
    audited = job.audited()
    kept = [entry for place, entry in enumerate(audited.entries) if place not in places]
    return with_state(kept, audited.state, audited.as_of)


def test_a_step_that_was_never_answered_is_found(record: Give) -> None:
    job = record()
    found = list(checked(without(job, job.where("answered", "wheel_direction")), quick=True))
    assert [one.step for one in of(found, "steps")] == ["wheel_direction"]


def test_a_hold_without_confirmation_is_found(record: Give) -> None:
    job = record()
    found = list(checked(without(job, job.where("hold_confirmed")), quick=True))
    assert [one.check for one in found] == ["holds"]


def test_a_hold_confirmed_by_the_doer_is_found(record: Give) -> None:
    audited = record().audited()
    place = next(i for i, entry in enumerate(audited.entries) if entry.kind == "hold_confirmed")
    step = audited.entries[place].step
    doer = next(e.by for e in audited.entries if e.kind == "answered" and e.step == step)
    entries = list(audited.entries)
    entries[place] = replace(entries[place], by=doer)
    found = list(checked(with_state(entries, audited.state, audited.as_of), quick=True))
    assert "who gave the answer" in of(found, "holds")[0].text


def test_a_setting_written_unread_and_unproved_is_found(record: Give) -> None:
    job = record("firmware-update")
    audited = job.audited()
    kind = audited.state.plan.planned
    reads = [
        place
        for place, entry in enumerate(audited.entries)
        if entry.kind == "part" and kind(entry.step).kind == "read_back"
    ]
    found = list(checked(without(job, *reads), quick=True))
    assert of(found, "as-found")
    settings = {name: replace(one, left=()) for name, one in audited.state.settings.items()}
    state = replace(audited.state, settings=settings)
    found = list(checked(with_state(audited.entries, state, audited.as_of), quick=True))
    written = {name for name, one in settings.items() if one.written is not None}
    assert len(of(found, "persistence")) == len(written) > 0


def test_a_setting_proved_before_its_last_write_is_found(record: Give) -> None:
    audited = record("firmware-update").audited()
    settings = dict(audited.state.settings)
    name, one = next((name, one) for name, one in settings.items() if one.written is not None)
    assert one.left[-1].seq > one.written.seq
    late = replace(one.written, seq=one.left[-1].seq + 1)
    settings[name] = replace(one, written=late)
    state = replace(audited.state, settings=settings)
    found = list(checked(with_state(audited.entries, state, audited.as_of), quick=True))
    assert [(one.check, one.seq) for one in found] == [("persistence", late.seq)]


def test_a_step_ruled_out_though_its_condition_holds_is_found(record: Give) -> None:
    audited = record("controller-exchange").audited()
    place = next(i for i, entry in enumerate(audited.entries) if entry.kind == "not_applicable")
    step = audited.entries[place].step
    other = next(e for e in audited.entries if e.kind == "answered" and e.body["parts"])
    entries = list(audited.entries)
    entries[place] = replace(entries[place], step=other.step)
    del entries[audited.entries.index(other)]
    found = of(
        list(checked(with_state(entries, audited.state, audited.as_of), quick=True)), "steps"
    )
    assert {one.step for one in found} == {step, other.step}


def test_a_wait_cut_short_by_the_wall_clock_is_found(record: Give) -> None:
    audited = record("controller-exchange").audited()
    place = next(
        i for i, e in enumerate(audited.entries) if e.kind == "part" and e.body["part"] == "start"
    )
    late = audited.entries[place + 1]
    entries = list(audited.entries)
    entries[place] = replace(entries[place], at=late.at)
    found = list(checked(with_state(entries, audited.state, audited.as_of), quick=True))
    assert [one.check for one in found if not one.is_sign] == ["waits"]


def test_clocks_that_jumped_ask_for_a_look(record: Give) -> None:
    job = record()
    before = job.entries[29]
    jumped = replace(
        before, kind="clock_jump", step=None, attempt=0,
        body={"wall_s": -3600.0, "monotonic_s": 12.0},
    )  # fmt: skip
    job.entries.insert(30, jumped)
    found = job.found()
    assert [one.check for one in found] == ["clock-jump"]
    assert found[0].is_sign


@pytest.mark.parametrize(
    ("hand", "signs"),
    [
        ("confirms", {"short-steps", "witness-delay"}),
        ("copies", {"short-steps", "witness-delay", "identical-series"}),
        ("back-fills", {"short-steps", "burst", "witness-delay"}),
        ("one-witness", {"witness-delay"}),
    ],
)
def test_a_careless_hand_leaves_signs_and_no_fault(
    record: Give, hand: str, signs: set[str]
) -> None:
    found = [
        one
        for number in (0, 1)
        for one in record("controller-exchange", hand, number=number).found()
    ]
    assert {one.check for one in found} >= signs
    assert all(one.is_sign for one in found)


def test_readings_typed_from_an_earlier_bike_are_found(record: Give) -> None:
    check = Copied()
    first, second = (
        record("controller-exchange", "repeats", number=number).audited() for number in (0, 1)
    )
    assert list(check.take(check.see(first))) == []
    found = list(check.take(check.see(second)))
    assert [one.check for one in found] == ["copied-readings"]
    assert first.stream in found[0].text


def test_made_up_last_digits_are_found_from_fifty_readings_on(record: Give) -> None:
    check = LastDigits()
    for number in range(4):
        job = record("controller-exchange", "copies", number=number).audited()
        list(check.take(check.see(job)))
    assert [one.by for one in check.findings()] == ["Person 1 (copies)"]
    one_job = LastDigits()
    list(one_job.take(one_job.see(record("gearing-change", "copies").audited())))
    assert list(one_job.findings()) == []


def test_chi_square_is_pearsons() -> None:
    # scipy.stats.chisquare gives the same; its critical value at 0.001 is the one that is used.
    from scipy.stats import chi2, chisquare

    counts = [12, 3, 9, 8, 15, 4, 6, 10, 7, 11]
    assert chi_square(counts) == pytest.approx(float(chisquare(counts).statistic))
    assert pytest.approx(float(chi2.ppf(0.999, 9)), abs=5e-4) == CRITICAL


def test_always_the_same_witness_is_a_sign_only_where_others_confirm(record: Give) -> None:
    def jobs(hand: str, person: int) -> list[AuditedJob]:
        return [record(hand=hand, person=person, number=number).audited() for number in range(11)]

    alone = Pairs()
    for job in jobs("one-witness", 0):
        list(alone.take(alone.see(job)))
    assert list(alone.findings()) == []
    among = Pairs()
    for job in [*jobs("one-witness", 0), *jobs("honest", 1)]:
        list(among.take(among.see(job)))
    assert [one.by for one in among.findings()] == ["Person 1 (one-witness)"]


def test_a_record_that_says_nonsense_gives_a_finding_and_no_traceback(record: Give) -> None:
    audited = record().audited()
    entries = [
        replace(entry, body={}) if entry.kind == "answered" else entry for entry in audited.entries
    ]
    found = list(checked(with_state(entries, audited.state, audited.as_of), quick=True))
    assert found
    assert all(one.severity in ("major", "minor", "critical", "review") for one in found)


def test_a_restart_of_the_machine_is_measured_by_the_wall_clock(record: Give) -> None:
    job = record()
    for place in range(60, len(job.entries)):
        clock = job.entries[place].clock
        job.change(place, clock=Clock("another boot", clock.ns - 1))
    assert job.ids() == set()


def test_a_key_that_stands_twice_is_found(record: Give) -> None:
    lines = record().lines()
    lines[-1] = lines[-1].replace(b'"kind":', b'"kind":"noted","kind":')
    stream = record().entries[0].stream
    job = read_job(lines, stream, None, "2031-01-01T00:00:00.000000Z", thorough=True)
    assert [one.check for one in checked(job)] == ["whole"]
    assert "twice" in next(iter(checked(job))).text
