"""The step kind cross_check: what it asks, how it is judged, when it is due again."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from commission.crosschecks.base import Severity
from commission.errors import RefusedError
from commission.job import crosschecking, moves
from commission.job.judge import judge_again
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Callable

HEAD: dict[str, Any] = {
    "facts": [
        {"id": "fuse", "label": "Fuse", "type": "quantity", "unit": "A"},
        {"id": "pack", "label": "Pack current", "type": "quantity", "unit": "A"},
    ],
    "settings": [
        {"id": "limit", "label": "Battery limit", "type": "quantity", "unit": "A",
         "equal_within": "1[A]", "intended": "100[A]"},
    ],
    "roles": {
        "battery_current_limit": "limit", "fuse_rating": "fuse", "pack_current_max": "pack",
        "pack_full_voltage": "71.4[V]", "fuse_voltage": "125[V]",
    },
}  # fmt: skip
STEPS: tuple[dict[str, Any], ...] = (
    {"kind": "read_back", "id": "found", "settings": "all"},
    {"kind": "write", "id": "set", "settings": ["limit"]},
    {"kind": "cross_check", "id": "crossed", "on_fail": {"then": "concession"}},
    {"kind": "confirm", "id": "after"},
)


@pytest.fixture
def job(told: Callable[..., Any]) -> Any:
    """A job that stands at its cross-check; 100 A written, fuse and pack as told."""

    def stands(fuse: str, pack: str = "110", **head: Any) -> Any:
        made = told(*STEPS, **{**HEAD, **head})
        give(made, "fuse", value=fuse)
        give(made, "pack", value=pack)
        give(made, "found", limit="60")
        give(made, "set", limit="100")
        return made

    return stands


def give(made: Any, step: str, by: str = "Ada", **given: str) -> None:
    record(made, moves.submit(made.state, step, given, by, made.now()))


def record(made: Any, drafts: Any) -> None:
    for draft in drafts:
        body = json.loads(json.dumps(draft.body, allow_nan=False))
        made.tell(draft.kind, draft.step, body, draft.by, draft.attempt)


def test_where_everything_fits_it_asks_only_whether_it_was_read_and_passes(job: Any) -> None:
    made = job("150")
    asking = moves.asking(made.state, "crossed", made.now())
    assert [ask.type for ask in asking.asks] == ["done"]
    assert asking.say.startswith("No conflicts, ")
    assert "2 fit. That is no permission." in asking.say

    give(made, "crossed", value="done")
    answer = made.step("crossed").answer
    assert answer.verdict == "pass"
    assert answer.judged["values"]["conflicts"] == 0
    assert answer.judged["values"]["fits"] == 2
    assert made.open_step == "after"


def test_each_conflict_asks_why_it_is_taken_over_and_the_step_fails_to_a_concession(
    job: Any,
) -> None:
    made = job("120", "90")
    asking = moves.asking(made.state, "crossed", made.now())
    assert [ask.name for ask in asking.asks] == ["fuse-current", "pack-current", "value"]
    assert "13.3 A too little" in asking.say
    assert "setting limit, as written" in asking.say
    assert "fact fuse" in asking.say

    with pytest.raises(RefusedError):
        give(made, "crossed", **{"fuse-current": "it was always so"})
    give(made, "crossed", **{"fuse-current": "the fuse is slow, by its sheet", "value": "done"})
    answer = made.step("crossed").answer
    assert answer.verdict == "fail"
    assert "Taken over because: the fuse is slow, by its sheet" in answer.because
    assert "To be mended." in answer.because
    assert made.status("crossed") is Status.FAILED

    leave = {"scope": "one demonstration", "expiry": "2031-06-30", "reason": "known to the owner"}
    with pytest.raises(RefusedError):
        moves.concede(made.state, "crossed", "Ada", **leave, now=made.now())
    record(made, [moves.concede(made.state, "crossed", "Cleo", **leave, now=made.now())])
    assert made.status("crossed") is Status.CONCEDED
    assert made.open_step == "after"


def test_a_conflict_that_is_mended_by_a_correction_brings_the_step_again_and_fits(
    job: Any,
) -> None:
    made = job("120")
    give(made, "crossed", value="done")
    assert made.status("crossed") is Status.FAILED

    drafts = moves.correct(
        made.state, "fuse", {"": {"value": "160"}}, "another fuse is fitted", "Ada", made.now()
    )
    record(made, drafts)
    assert made.status("crossed") is Status.DUE_AGAIN
    give(made, "crossed", value="done")
    assert made.status("crossed") is Status.PASSED


def test_a_passed_cross_check_is_due_again_when_a_value_behind_it_changes(job: Any) -> None:
    made = job("150")
    give(made, "crossed", value="done")
    record(
        made,
        moves.correct(made.state, "pack", {"": {"value": "95"}}, "misread", "Ada", made.now()),
    )
    assert made.due() == {"crossed": "due again because pack was corrected in entry 9"}
    assert moves.asking(made.state, "crossed", made.now()).asks[0].name == "pack-current"


def test_it_rests_on_what_is_written_too(job: Any) -> None:
    made = job("150")
    assert "crossed" in made.plan.dependents["set"]
    assert "crossed" in made.plan.dependents["fuse"]
    assert made.plan.readers["limit"] == ("crossed",)


def test_what_is_to_be_looked_at_again_is_marginal_and_lets_the_job_go_on(job: Any) -> None:
    roles = {**HEAD["roles"], "phase_current_limit": "50[A]"}
    made = job("150", roles=roles)
    give(made, "crossed", value="done")
    answer = made.step("crossed").answer
    assert answer.verdict == "marginal"
    assert "the limit is elsewhere" in answer.because
    assert made.open_step == "after"


def test_where_not_one_check_can_be_made_it_fails_instead_of_passing_empty(
    told: Callable[..., Any],
) -> None:
    made = told(*STEPS[2:], roles={"series_cells": "17"})
    give(made, "crossed", value="done")
    answer = made.step("crossed").answer
    assert answer.verdict == "fail"
    assert "Not one could be made" in answer.because


def test_a_step_may_run_chosen_checks_only_and_rests_on_their_roles_only(
    told: Callable[..., Any],
) -> None:
    step = {**STEPS[2], "checks": ["pack-current"]}
    made = told(*STEPS[:2], step, **HEAD)
    assert "crossed" not in made.plan.dependents.get("fuse", ())
    assert "crossed" in made.plan.dependents["pack"]


@pytest.mark.parametrize(("fuse", "pack"), [("150", "110"), ("120", "90"), ("120", "110")])
def test_it_can_be_judged_again_from_the_record_alone(job: Any, fuse: str, pack: str) -> None:
    made = job(fuse, pack)
    give(made, "crossed", value="done")
    answer = made.step("crossed").answer
    judged = json.loads(json.dumps(dict(answer.judged)))
    assert judge_again(judged) == answer.verdict

    again = crosschecking.findings_again(judged)
    assert [crosschecking.record_of(finding) for finding in again] == judged["findings"]
    kept = next(each for each in judged["findings"] if each["check"] == "fuse-current")
    assert kept["calculators"] == {"fuse-rating": 1}
    assert judged["roles"]["fuse_rating"] == {"value": float(fuse), "from": "fact fuse"}


def test_a_setting_is_taken_as_it_stands_written_before_intended_before_found(job: Any) -> None:
    made = job("150")
    known = crosschecking.known(made.state)
    assert known["battery_current_limit"].origin == "setting limit, as written"
    assert known["fuse_voltage"].origin == "as the procedure says"


def test_before_anything_is_known_every_check_cannot_be_made(told: Callable[..., Any]) -> None:
    made = told(*STEPS, **HEAD)
    found = crosschecking.findings(made.state)
    assert {finding.severity for finding in found} == {Severity.UNCHECKED}
    give(made, "fuse", value="150")
    give(made, "pack", value="110")
    intended = crosschecking.known(made.state)["battery_current_limit"]
    assert (intended.value, intended.origin) == (100.0, "setting limit, intended")
