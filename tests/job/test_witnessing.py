"""Holds confirmed independently, concurrently, or alone after a time."""

from __future__ import annotations

from typing import Any

import pytest

from commission.errors import IllegalEntryError, RefusedError
from commission.job import moves, witnessing
from commission.job.entry import Instant
from commission.job.route import route
from commission.job.state import Status

PACK: dict[str, Any] = {
    "kind": "measure", "id": "pack", "unit": "V", "hold": "witness",
    "limits": {"min": "40[V]", "max": "60[V]"},
    "witness": {"independent": True, "within": "0.3[V]"},
}  # fmt: skip
WHEEL: dict[str, Any] = {
    "kind": "observe", "id": "wheel", "hold": "witness", "options": ["forward", "backward"],
    "expected": "forward", "witness": {"independent": True},
}  # fmt: skip
LAMP: dict[str, Any] = {
    "kind": "confirm",
    "id": "lamp",
    "hold": "witness",
    "witness": {"alone_after": "30[min]"},
}
READ = {"typed": "54.0", "unit": "V"}


@pytest.fixture
def lone(told: Any) -> Any:
    """Open a job of a workshop of one."""

    def make(procedure_plan: Any) -> Any:
        job = type(told(LAMP))(procedure_plan)
        job.open(people=[{"name": "Ada", "roles": ["technician", "lead", "witness"]}])
        return job

    return make


def confirmed(job: Any, step: str, **given: str) -> dict[str, Any]:
    """Have Ben read again, and return what is recorded."""
    draft = moves.confirm_hold(job.state, step, "Ben", now=now_of(job), given=given)
    job.tell("hold_confirmed", step, dict(draft.body), "Ben")
    return dict(draft.body)


def now_of(job: Any, later: float = 0) -> Instant:
    clock = job.state.clock
    return Instant(job.state.at, type(clock)(clock.boot, clock.ns + int(later * 1e9)))


@pytest.mark.parametrize(
    ("second", "agrees"), [("54.0", True), ("54.3", True), ("53.7", True), ("54.31", False)]
)
def test_an_independent_reading_is_compared_afterwards(
    told: Any,
    second: str,
    agrees: bool,  # noqa: FBT001  a column of the table
) -> None:
    job = told(PACK)
    job.answer("pack", READ)
    body = confirmed(job, "pack", value=second)
    assert (body["mode"], body["agrees"]) == ("independent", agrees)
    assert body["parts"] == {"": {"value": {"typed": second, "unit": "V"}}}
    assert job.status("pack") is (Status.PASSED if agrees else Status.FAILED)
    if not agrees:
        assert "54.31 V" in body["reason"]
        assert "54.0 V" in body["reason"]


def test_a_share_of_the_first_reading_may_be_allowed(told: Any) -> None:
    job = told({**PACK, "witness": {"independent": True, "within": "1[%]"}})
    job.answer("pack", READ)
    assert confirmed(job, "pack", value="54.54")["agrees"]


def test_a_reading_that_is_near_and_outside_the_limits_does_not_agree(told: Any) -> None:
    job = told({**PACK, "limits": {"max": "54.1[V]"}})
    job.answer("pack", READ)
    body = confirmed(job, "pack", value="54.2")
    assert (body["agrees"], body["verdict"]) == (False, "fail")


@pytest.mark.parametrize(("seen", "agrees"), [("forward", True), ("backward", False)])
def test_an_independent_observation_is_the_same_or_fails(
    told: Any,
    seen: str,
    agrees: bool,  # noqa: FBT001  a column of the table
) -> None:
    job = told(WHEEL)
    job.answer("wheel", "forward")
    assert confirmed(job, "wheel", value=seen)["agrees"] is agrees


def test_what_the_witness_is_asked_does_not_show_the_first_reading(told: Any) -> None:
    job = told(PACK)
    job.answer("pack", READ)
    asked = witnessing.asks(job.state, "pack", now_of(job))
    assert [ask.name for ask in asked] == ["value"]
    assert "54" not in repr(asked)


def test_an_independent_witness_cannot_just_say_yes(told: Any) -> None:
    job = told(PACK)
    job.answer("pack", READ)
    with pytest.raises(RefusedError, match="takes the reading again"):
        moves.confirm_hold(job.state, "pack", "Ben")
    with pytest.raises(RefusedError, match="Reading"):
        moves.confirm_hold(job.state, "pack", "Ben", now=now_of(job), given={"value": "much"})
    body = {"role": "witness", "mode": "concurrent", "agrees": True, "reason": ""}
    with pytest.raises(IllegalEntryError, match="it is 'independent'"):
        job.tell("hold_confirmed", "pack", body, "Ben")
    empty = {**body, "mode": "independent", "parts": {"": {}}}
    with pytest.raises(IllegalEntryError, match="has read nothing"):
        job.tell("hold_confirmed", "pack", empty, "Ben")


def test_a_concurrent_hold_cannot_claim_to_be_independent(told: Any) -> None:
    job = told({"kind": "confirm", "id": "lamp", "hold": "witness"})
    job.answer("lamp")
    body = {"role": "witness", "mode": "independent", "agrees": True, "reason": ""}
    with pytest.raises(IllegalEntryError, match="it is 'concurrent'"):
        job.tell("hold_confirmed", "lamp", body, "Ben")


@pytest.mark.parametrize("step", [LAMP, {**LAMP, "witness": None}])
def test_where_a_witness_takes_part_nobody_confirms_alone(told: Any, step: Any) -> None:
    job = told(step)
    job.answer("lamp", by="Ada")
    job.tell("joined", body={"name": "Ada", "roles": ["witness"]})
    with pytest.raises(RefusedError, match="Ada did this step"):
        moves.confirm_hold(job.state, "lamp", "Ada", now=now_of(job, 3600))


def test_a_workshop_of_one_checks_itself_after_the_set_time(plan_of: Any, lone: Any) -> None:
    job = lone(plan_of(LAMP))
    job.answer("lamp")
    with pytest.raises(RefusedError, match="cannot confirm it yet") as caught:
        moves.confirm_hold(job.state, "lamp", "Ada", now=now_of(job, 1))
    assert "fresh eyes in 1799 s" in caught.value.hint
    job.wait(1800)
    draft = moves.confirm_hold(job.state, "lamp", "Ada", now=now_of(job, 1801))
    assert draft.body["mode"] == "delayed self-check"
    job.tell("hold_confirmed", "lamp", dict(draft.body), "Ada")
    assert job.status("lamp") is Status.PASSED


def test_the_fold_counts_the_time_of_a_self_check_too(plan_of: Any, lone: Any) -> None:
    job = lone(plan_of(LAMP))
    job.answer("lamp")
    body = {"role": "witness", "mode": "delayed self-check", "agrees": True, "reason": ""}
    with pytest.raises(IllegalEntryError, match="cannot confirm it yet"):
        job.tell("hold_confirmed", "lamp", body, "Ada")


def test_a_workshop_of_one_waits_for_ever_where_the_procedure_does_not_allow_it(
    plan_of: Any, lone: Any
) -> None:
    job = lone(plan_of({**LAMP, "witness": None}))
    job.answer("lamp")
    with pytest.raises(RefusedError, match="did this step and cannot"):
        moves.confirm_hold(job.state, "lamp", "Ada", now=now_of(job, 1e6))


@pytest.mark.parametrize(
    ("second", "apart", "said"), [("54.2", "0.2 V", "agree"), ("51", "3 V", "do not agree")]
)
def test_how_the_two_readings_compare_stays_with_the_step(
    told: Any, second: str, apart: str, said: str
) -> None:
    job = told(PACK)
    job.answer("pack", READ)
    confirmed(job, "pack", value=second)
    words = f"The witness read {second} V, the first was 54.0 V, {apart} apart: they {said}."
    assert words in job.state.steps["pack"].reason
    assert words in next(line.reason for line in route(job.state) if line.step == "pack")


def test_a_remark_of_who_does_not_agree_hides_no_reading(told: Any) -> None:
    job = told(PACK)
    job.answer("pack", READ)
    given = {"value": "51"}
    draft = moves.confirm_hold(
        job.state, "pack", "Ben", reason="loose probe", now=now_of(job), given=given
    )
    job.tell("hold_confirmed", "pack", dict(draft.body), "Ben")
    reason = job.state.steps["pack"].reason
    assert "refused by Ben: loose probe (The witness read 51 V" in reason
