"""What the shipped file says of the signs is what a small measurement finds again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from scipy.stats import binomtest

from commission.audit.catalogue import declared
from commission.audit.signs import Rate, page, signs
from commission.practice import measured_signs
from commission.practice.measured_signs import measure
from commission.practice.populations import HANDS, job

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan

PEOPLE, JOBS = 3, 7


@pytest.fixture(scope="module")
def again(plan_of: Callable[[str], Plan]) -> dict[str, Any]:
    return measure(plan_of("controller-exchange"), PEOPLE, JOBS)


def test_every_sign_is_measured_at_its_present_version() -> None:
    shipped = signs()
    assert [one.sign.id for one in shipped.measured] == [
        one.id for one in declared() if one.is_sign
    ]
    assert all(one.is_current for one in shipped.measured)


def test_a_small_measurement_agrees_with_the_shipped_figures(again: dict[str, Any]) -> None:
    for one in signs().measured:
        if one.per == "person":
            continue  # rests on more jobs of each person than are made here
        rates = {"honest": one.false_alarms, **one.power}
        for hand, rate in rates.items():
            raised, of = again["signs"][one.sign.id]["raised"][hand], PEOPLE * JOBS
            # Could the small sample come from the shipped rate, give or take its own uncertainty?
            low, high = rate.interval
            expected = min(max(raised / of, low), high)
            assert binomtest(raised, of, expected).pvalue > 1e-4, (one.sign.id, hand)


def test_no_sign_is_raised_for_more_than_one_in_twenty_honest_jobs_or_people() -> None:
    for one in signs().measured:
        assert one.false_alarms.share <= 0.05, one.sign.id


def test_each_careless_kind_but_the_hurried_shows_in_a_sign_that_is_not_the_witness_s() -> None:
    seen = {
        hand
        for one in signs().measured
        if one.sign.id != "witness-delay"
        for hand, rate in one.power.items()
        if rate.share > 0.5
    }
    assert {"confirms", "copies", "back-fills", "one-witness", "repeats"} <= seen


def test_the_page_says_what_it_rests_on_and_accuses_nobody() -> None:
    text = "\n".join(page(signs()))
    assert "assumed, not observed" in text
    assert "fraud" not in text
    assert text.count("False alarms:") == sum(one.is_sign for one in declared())


def test_an_interval_is_wilson_s() -> None:
    for raised, of in ((0, 40), (3, 40), (20, 40), (40, 40)):
        ours = Rate(raised, of).interval
        theirs = binomtest(raised, of).proportion_ci(0.95, "wilson")
        assert ours == pytest.approx((theirs.low, theirs.high), abs=1e-6)


def test_the_same_person_and_number_give_the_same_job(plan_of: Callable[[str], Plan]) -> None:
    plan = plan_of("gearing-change")
    assert job(plan, HANDS[0], 1, 2).entries == job(plan, HANDS[0], 1, 2).entries
    assert job(plan, HANDS[0], 1, 2).entries != job(plan, HANDS[0], 1, 3).entries


@pytest.mark.parametrize("words", [("--help",), ("measure",)])
def test_help_or_a_word_not_understood_does_no_minutes_of_work(
    words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.argv", ["measured_signs", *words])
    monkeypatch.setattr(measured_signs, "measure", lambda *_, **__: pytest.fail("it measured"))
    with pytest.raises(SystemExit):
        measured_signs.main()
    said = capsys.readouterr()
    assert "signs.json" in said.out or "usage" in said.err
