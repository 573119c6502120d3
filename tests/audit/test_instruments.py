"""Readings held against the instruments of the register as they stood at that time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.audited import AuditedJob, with_state
from commission.audit.run import checked
from commission.register.instrument import Calibration, Checked, Instrument
from commission.register.state import Point, Register

if TYPE_CHECKING:
    from collections.abc import Callable

    Give = Callable[..., Any]

BEFORE = "2029-06-01T00:00:00.000000Z"
AFTER = "2030-06-01T00:00:00.000000Z"
LATER = "2030-07-01T00:00:00.000000Z"
GOOD: dict[str, Any] = {
    "id": "multimeter-1", "serial": "4711", "label": "Bench meter", "due": "2030-12-31",
    "state": "good", "range": None, "percent": None, "counts": None, "count": None,
}  # fmt: skip


def meter(**more: Any) -> Register:
    point = Point(1, BEFORE)
    made = Instrument(
        "multimeter-1", "multimeter", "Bench meter", "4711", point, ((point, ()),),
        (Calibration(point, "2029-05-30", "2030-12-31"),),
    )  # fmt: skip
    return Register(seq=9, instruments={"multimeter-1": replace(made, **more)})


def citing(record: Give, register: Register | None, **cited: Any) -> AuditedJob:
    """Return a job whose first measured reading cites an instrument."""
    job = record().audited()
    place = next(
        place
        for place, entry in enumerate(job.entries)
        if entry.kind == "answered" and job.state.plan.planned(entry.step).kind == "measure"
    )
    entry = job.entries[place]
    value = {**entry.body["parts"][""]["value"], "instrument": {**GOOD, **cited}}
    read = replace(entry, body={**entry.body, "parts": {"": {"value": value}}})
    entries = (*job.entries[:place], read, *job.entries[place + 1 :])
    return replace(with_state(entries, job.state, job.as_of), register=register)


def found(job: AuditedJob) -> dict[str, str]:
    return {
        one.check: one.text
        for one in checked(job, quick=True)
        if one.check in ("instruments", "instrument-suspect")
    }


def test_a_good_instrument_gives_no_finding(record: Give) -> None:
    assert found(citing(record, meter())) == {}
    assert found(citing(record, None)) == {}


@pytest.mark.parametrize(
    ("cited", "said"),
    [
        ({"id": "multimeter-9"}, "in no register"),
        ({"due": "2035-01-01"}, "the register said good, due 2030-12-31"),
        ({"state": "overdue"}, "recorded as overdue"),
        ({"id": "", "state": "not registered"}, "others of its kind"),
    ],
)
def test_a_citation_that_the_register_does_not_bear_out_is_found(
    record: Give, cited: dict[str, Any], said: str
) -> None:
    assert said in found(citing(record, meter(), **cited))["instruments"]


def test_an_overdue_instrument_recorded_as_good_is_found(record: Give) -> None:
    ran_out = Calibration(Point(1, BEFORE), "2029-01-01", "2029-12-31")
    job = citing(record, meter(calibrations=(ran_out,)), due="2029-12-31")
    assert "the register said overdue" in found(job)["instruments"]


def test_an_overdue_instrument_is_told_though_the_record_says_so(record: Give) -> None:
    ran_out = Calibration(Point(1, BEFORE), "2029-01-01", "2029-12-31")
    register = meter(calibrations=(ran_out,))
    job = citing(record, register, due="2029-12-31", state="overdue")
    assert found(job) == {"instruments": "multimeter-1 was overdue."}


@pytest.mark.parametrize(
    ("by", "expiry", "severity"),
    [
        ("Vera Stahl", "2030-12-30", "minor"),
        ("Vera Stahl", "2029-12-30", "major"),  # had run out
        ("", "2030-12-30", "major"),  # given to oneself
    ],
)
def test_leave_to_read_with_an_overdue_instrument_is_told_beside_it(
    record: Give, by: str, expiry: str, severity: str
) -> None:
    ran_out = Calibration(Point(1, BEFORE), "2029-01-01", "2029-12-31")
    job = citing(record, meter(calibrations=(ran_out,)), due="2029-12-31", state="overdue")
    body = {"instrument": "multimeter-1", "named": "multimeter-1, overdue", "role": "lead",
            "scope": "this bike", "expiry": expiry, "reason": "compared"}  # fmt: skip
    first, giver = job.entries[1], by or job.entries[2].by
    leave = replace(first, kind="instrument_conceded", by=giver, step=None, body=body)
    given = replace(job, entries=(job.entries[0], leave, *job.entries[2:]))
    (told,) = [one for one in checked(given) if one.check == "instruments"]
    assert told.severity == severity
    assert told.text == (
        f"multimeter-1 was overdue. {giver} gave leave in entry {first.seq}, until {expiry}."
    )


def test_a_retired_instrument_is_found_only_from_then_on(record: Give) -> None:
    assert "retired" in found(citing(record, meter(retired=Point(2, BEFORE))))["instruments"]
    assert found(citing(record, meter(retired=Point(2, AFTER)))) == {}


def test_readings_before_a_failed_check_are_to_be_looked_at(record: Give) -> None:
    bad = Checked(Point(3, LATER), "ada", good=False, text="showed 11.2 V of 12.0 V")
    assert "2030-07-01" in found(citing(record, meter(checks=(bad,))))["instrument-suspect"]
    good = Checked(Point(2, AFTER), "ada", good=True, text="showed 12.0 V of 12.0 V")
    assert found(citing(record, meter(checks=(good, bad)))) == {}


def test_a_certificate_entered_later_does_not_change_what_was_known(record: Give) -> None:
    calibrations = (
        Calibration(Point(1, BEFORE), "2029-01-01", "2030-12-31"),
        Calibration(Point(4, AFTER), "2030-05-01", "2031-12-31"),
    )
    assert found(citing(record, meter(calibrations=calibrations))) == {}
