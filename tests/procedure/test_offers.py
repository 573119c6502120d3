"""What is offered before a job starts: every shipped procedure, its purpose and its time."""

from __future__ import annotations

from pathlib import Path

from commission.procedure.load import load, shipped
from commission.procedure.offers import Offer, offers


def test_every_shipped_procedure_is_offered_with_purpose_occasion_and_time() -> None:
    found = offers()

    assert {each.slug for each in found} == {slug for slug, *_ in shipped()}
    for each in found:
        procedure = load(each.file).procedure
        assert procedure is not None
        assert (each.title, each.purpose) == (procedure.title, procedure.purpose)
        assert each.use_when == procedure.use_when
        assert each.takes_s > 0


def test_whole_jobs_come_first_and_checks_of_minutes_last() -> None:
    found = offers()

    assert found[0].slug == "controller-exchange"
    assert found[-1].slug == "quick-persistence"
    assert [each.takes_s for each in found] == sorted(
        (each.takes_s for each in found), reverse=True
    )


def test_a_time_is_said_in_minutes_up_to_two_hours() -> None:
    said = [Offer("x", "X", "", "", s, Path()).takes for s in (0.0, 180.0, 5400.0, 7200.0, 18000.0)]
    assert said == ["", "3 min", "90 min", "2 h", "5 h"]
