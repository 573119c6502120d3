from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.errors import IllegalEntryError
from commission.job.advance import replay
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

FIRST = {"kind": "confirm", "id": "first"}
SECOND = {"kind": "confirm", "id": "second"}
CAUTION = {
    "signal": "WARNING", "hazard": "Live parts.", "consequence": "Shock.", "avoidance": "Isolate.",
}  # fmt: skip
RELEASE = {"kind": "sign_off", "id": "release", "meaning": "released", "role": "lead"}


def test_nothing_comes_before_the_job_is_opened(told: Teller) -> None:
    job = told(FIRST)
    assert "opened already" in job.refused("opened", body={})
    fresh = type(job)(job.plan)
    assert "not opened yet" in fresh.refused("noted", body={"grade": "", "text": "x"})


def test_the_first_entry_must_be_of_this_procedure(told: Teller) -> None:
    fresh = type(job := told(FIRST))(job.plan)
    other = {"id": "another", "revision": 1, "digest": "", "text": ""}
    with pytest.raises(IllegalEntryError, match="another revision 1"):
        fresh.open(procedure=other)


def test_steps_are_answered_in_order(told: Teller) -> None:
    job = told(FIRST, SECOND)
    assert "The step to do is first" in job.refused("answered", "second", {})
    job.answer("first")
    assert job.open_step == "second"
    job.answer("second")
    assert job.open_step == ""
    assert "Every step is settled" in job.refused("answered", "second", {})


def test_an_entry_out_of_number_or_of_no_kind_is_refused(told: Teller) -> None:
    job = told(FIRST)
    with pytest.raises(IllegalEntryError, match="Entry 1 comes where 2 is due"):
        replay(job.plan, [job.entries[0], job.entries[0]])
    assert "unknown kind" in job.refused("erased")


def test_an_entry_that_lacks_its_body_is_refused_in_words(told: Teller) -> None:
    job = told(FIRST)
    assert "not made as such entries are" in job.refused("answered", "first", {"parts": {}})


def test_a_stranger_cannot_answer(told: Teller) -> None:
    job = told(FIRST)
    body = {"parts": {"": {"value": True}}, "verdict": "pass"}
    assert "does not take part" in job.refused("answered", "first", body, by="Nobody")
    job.tell("joined", body={"name": "Dora", "roles": ["technician"]}, by="Dora")
    job.answer("first", by="Dora")
    assert job.status("first") is Status.PASSED


def test_a_caution_is_acknowledged_before_each_attempt(told: Teller) -> None:
    job = told({**FIRST, "caution": CAUTION})
    body = {"parts": {"": {"value": True}}, "verdict": "fail"}
    assert "not acknowledged" in job.refused("answered", "first", body)
    job.tell("acknowledged", "first")
    assert "acknowledged already" in job.refused("acknowledged", "first")
    job.answer("first", verdict="fail")
    assert "not acknowledged" in job.refused("answered", "first", body)


def test_a_caution_stands_before_the_pieces_too(told: Teller) -> None:
    job = told({"kind": "dwell", "id": "rest", "duration": "5[s]", "caution": CAUTION})
    start = {"part": "start", "given": {"value": True}}
    assert "not acknowledged" in job.refused("part", "rest", start)


def test_without_on_fail_a_step_has_one_retry_and_then_stops_the_job(told: Teller) -> None:
    job = told(FIRST, SECOND)
    job.answer("first", verdict="fail")
    assert job.status("first") is Status.FAILED
    assert job.step("first").is_open
    assert job.step("first").attempt == 2
    assert "attempt 2 is in hand" in job.refused("answered", "first", {}, attempt=1)
    job.answer("first", verdict="fail")
    assert job.state.stopped == "first"
    assert "stopped at first" in job.refused("answered", "first", {})


def test_only_a_lead_resumes_a_stopped_job_and_the_step_starts_afresh(told: Teller) -> None:
    job = told({**FIRST, "on_fail": {"retry": 0}}, SECOND)
    job.answer("first", verdict="fail")
    reason = {"role": "lead", "reason": "wrong probe used"}
    assert "no lead" in job.refused("resumed", body=reason)
    job.tell("noted", body={"grade": "", "text": "a remark is possible"})
    job.tell("resumed", body=reason, by="Cleo")
    assert job.state.stopped == ""
    assert (job.step("first").failures, job.step("first").attempt) == (0, 2)
    job.answer("first")
    assert job.open_step == "second"
    assert "not stopped" in job.refused("resumed", body=reason, by="Cleo")


def test_a_remedy_sleeps_until_its_step_fails_and_opens_it_again_when_done(
    told: Teller,
) -> None:
    mend = {"kind": "confirm", "id": "mend"}
    job = told({**FIRST, "on_fail": {"retry": 1, "remedy": [mend]}}, SECOND)
    assert job.status("mend") is Status.DORMANT
    job.answer("first", verdict="fail")
    assert job.status("mend") is Status.DORMANT
    job.answer("first", verdict="fail")
    assert job.open_step == "mend"
    assert not job.step("first").is_open
    job.answer("mend")
    assert job.open_step == "first"
    assert (job.step("first").failures, job.step("first").attempt) == (0, 3)
    job.answer("first")
    assert job.open_step == "second"


def test_a_remedy_is_gone_through_as_often_as_rounds_say(told: Teller) -> None:
    mend = {"kind": "confirm", "id": "mend"}
    job = told({**FIRST, "on_fail": {"remedy": [mend], "rounds": 2}})
    for attempt in (1, 2):
        job.answer("first", verdict="fail")
        assert job.step("mend").attempt == attempt
        assert job.open_step == "mend"
        job.answer("mend")
    job.answer("first", verdict="fail")
    assert job.state.stopped == "first"


def test_a_failing_remedy_follows_its_own_rule(told: Teller) -> None:
    mend = {"kind": "confirm", "id": "mend", "on_fail": {"retry": 0}}
    job = told({**FIRST, "on_fail": {"remedy": [mend]}})
    job.answer("first", verdict="fail")
    job.answer("mend", verdict="fail")
    assert job.state.stopped == "mend"


CONCEDED = {"role": "lead", "scope": "this bike", "expiry": "2031-06-01", "reason": "part ordered"}
CONCEDABLE = {**FIRST, "on_fail": {"then": "concession"}}


def test_a_concession_by_the_named_role_settles_a_failed_step(told: Teller) -> None:
    job = told(CONCEDABLE, SECOND)
    job.answer("first", verdict="fail")
    assert job.state.stopped == ""
    assert job.open_step == "first"
    assert not job.step("first").is_open
    assert "lead's to give" in job.refused("conceded", "first", CONCEDED)
    job.tell("conceded", "first", CONCEDED, by="Cleo")
    assert job.status("first") is Status.CONCEDED
    assert job.step("first").concession is not None
    assert job.open_step == "second"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"scope": ""}, "no scope"),
        ({"reason": ""}, "no reason"),
        ({"expiry": "soon"}, "not a date"),
        ({"expiry": "2031-05-05"}, "would have expired"),
    ],
)
def test_a_concession_names_scope_reason_and_a_day_to_come(
    told: Teller, change: dict[str, str], why: str
) -> None:
    job = told(CONCEDABLE)
    job.answer("first", verdict="fail")
    assert why in job.refused("conceded", "first", CONCEDED | change, by="Cleo")


def test_a_step_that_stops_or_passed_is_not_conceded(told: Teller) -> None:
    job = told({**FIRST, "on_fail": {}})
    assert "does not wait" in job.refused("conceded", "first", CONCEDED, by="Cleo")
    job.answer("first", verdict="fail")
    assert "does not wait" in job.refused("conceded", "first", CONCEDED, by="Cleo")


def test_a_lead_may_have_the_step_done_again_instead_of_conceding(told: Teller) -> None:
    job = told(CONCEDABLE)
    job.answer("first", verdict="fail")
    job.tell("resumed", body={"role": "lead", "reason": "measure it properly"}, by="Cleo")
    assert job.step("first").is_open


def test_a_release_is_refused_once_a_concession_has_expired_until_it_is_renewed(
    told: Teller,
) -> None:
    job = told(CONCEDABLE, RELEASE)
    job.answer("first", verdict="fail")
    job.tell("conceded", "first", CONCEDED, by="Cleo")
    job.wait(60 * 86400)
    body = {"parts": {"": {"value": True}}, "verdict": "pass"}
    assert "expired on 2031-06-01" in job.refused("answered", "release", body, by="Cleo")
    job.tell("conceded", "first", {**CONCEDED, "expiry": "2031-12-31"}, by="Cleo")
    job.answer("release", by="Cleo")
    assert job.state.outcome == "released"


def test_a_release_is_refused_while_an_item_of_grade_a_is_open(told: Teller) -> None:
    job = told(RELEASE)
    job.tell("noted", body={"grade": "A", "text": "brake hose chafes"})
    job.tell("noted", body={"grade": "B", "text": "decal missing"})
    item = job.state.seq - 1
    body = {"parts": {"": {"value": True}}, "verdict": "pass"}
    assert "brake hose chafes" in job.refused("answered", "release", body, by="Cleo")
    job.tell("note_closed", body={"note": item, "text": "rerouted"})
    assert "no open item" in job.refused("note_closed", body={"note": item, "text": "again"})
    job.answer("release", by="Cleo")
    assert job.state.outcome == "released"


def test_a_sign_off_takes_its_role_and_nothing_follows_a_release(told: Teller) -> None:
    job = told(RELEASE)
    body = {"parts": {"": {"value": True}}, "verdict": "pass"}
    assert "does not sign as lead" in job.refused("answered", "release", body)
    job.answer("release", by="Cleo")
    assert "has ended: released" in job.refused("noted", body={"grade": "", "text": "late"})


def test_a_hold_is_confirmed_by_another_person_with_the_role(told: Teller) -> None:
    job = told({**FIRST, "hold": "witness"}, SECOND)
    job.answer("first", by="Ben")
    assert job.status("first") is Status.HOLD
    assert job.open_step == "first"
    yes = {"role": "witness", "mode": "concurrent", "agrees": True}
    assert "Ben did step first" in job.refused("hold_confirmed", "first", yes, by="Ben")
    assert "Ada is none" in job.refused("hold_confirmed", "first", yes, by="Ada")
    job.tell("joined", body={"name": "Eve", "roles": ["witness"]})
    job.tell("hold_confirmed", "first", yes, by="Eve")
    assert job.status("first") is Status.PASSED
    assert job.open_step == "second"


def test_whoever_gave_a_piece_is_a_doer_and_no_witness(told: Teller) -> None:
    setting = {"id": "way", "label": "Way", "type": "text"}
    read = {"kind": "read_back", "id": "read", "settings": "all", "hold": "witness"}
    job = told(read, settings=[setting])
    cells = {"part": "cells-1", "given": {"way": "ahead"}}
    job.tell("part", "read", cells, by="Ben")
    job.conclude("read", by="Ada")
    yes = {"role": "witness", "mode": "concurrent", "agrees": True}
    assert "Ben did step read" in job.refused("hold_confirmed", "read", yes, by="Ben")


def test_a_lead_hold_needs_a_lead(told: Teller) -> None:
    job = told({**FIRST, "hold": "lead"})
    job.answer("first")
    body = {"role": "lead", "mode": "concurrent", "agrees": True}
    assert "Ben is none" in job.refused("hold_confirmed", "first", body, by="Ben")
    job.tell("hold_confirmed", "first", body, by="Cleo")
    assert job.status("first") is Status.PASSED


def test_a_refused_hold_is_a_failure_with_its_reason(told: Teller) -> None:
    job = told({**FIRST, "hold": "witness"})
    job.answer("first")
    no = {"role": "witness", "mode": "concurrent", "agrees": False}
    assert "without a reason" in job.refused("hold_confirmed", "first", no, by="Ben")
    job.tell("hold_confirmed", "first", {**no, "reason": "not torqued"}, by="Ben")
    assert job.status("first") is Status.FAILED
    assert "not torqued" in job.step("first").reason
    assert job.step("first").is_open


def test_what_a_condition_rules_out_is_settled_with_its_reason(told: Teller) -> None:
    job = told({**FIRST, "when": "false"}, SECOND)
    body = {"condition": "false", "reason": "never"}
    job.tell("not_applicable", "first", body, by="program")
    assert job.status("first") is Status.NOT_APPLICABLE
    assert job.step("first").reason == "never"
    assert "no condition" in job.refused("not_applicable", "second", body)


def test_after_an_interruption_the_last_two_steps_are_read_again_first(told: Teller) -> None:
    job = told(*({"kind": "confirm", "id": name} for name in ("one", "two", "three", "four")))
    for name in ("one", "two", "three"):
        job.answer(name)
    job.tell("left", "four")
    assert job.state.away
    assert "interrupted" in job.refused("answered", "four", {})
    assert "left already" in job.refused("left", "four")
    job.tell("returned", "four")
    assert job.state.reread == ("two", "three")
    assert "interrupted" in job.refused("answered", "four", {})
    assert "two, three" in job.refused("reread", body={"steps": ["three"]})
    job.tell("reread", body={"steps": ["two", "three"]})
    job.answer("four")


def test_work_can_be_taken_up_after_a_break_that_nobody_recorded(told: Teller) -> None:
    job = told(FIRST, SECOND)
    job.answer("first")
    job.tell("returned", "second")
    assert job.state.reread == ("first",)


def test_a_clock_jump_is_counted_and_changes_nothing_else(told: Teller) -> None:
    job = told(FIRST)
    job.tell("clock_jump", body={"wall_s": -3600, "monotonic_s": 1}, by="program")
    assert job.state.jumps == 1
    assert job.open_step == "first"


def test_a_job_can_be_closed_without_release_even_while_stopped(told: Teller) -> None:
    job = told({**FIRST, "on_fail": {}})
    job.answer("first", verdict="fail")
    assert "only with" in job.refused("closed", body={"outcome": "released", "reason": "no"})
    job.tell("closed", body={"outcome": "abandoned", "reason": "customer withdrew"})
    assert job.state.outcome == "abandoned"
    assert "has ended" in job.refused("noted", body={"grade": "", "text": "x"})


def test_a_correction_names_the_answer_it_replaces_and_a_reason(told: Teller) -> None:
    job = told(FIRST, SECOND)
    body = {"parts": {"": {"value": False}}, "verdict": "fail", "replaces": 9, "reason": "r"}
    assert "no answer to correct" in job.refused("corrected", "first", body)
    job.answer("first")
    seq = job.state.seq
    assert f"stands in entry {seq}" in job.refused("corrected", "first", body)
    bare = {**body, "replaces": seq, "reason": ""}
    assert "without a reason" in job.refused("corrected", "first", bare)
    job.tell("corrected", "first", {**body, "replaces": seq})
    answer = job.step("first").answer
    assert answer is not None
    assert answer.corrected
    assert job.status("first") is Status.FAILED
    assert job.open_step == "first"


def test_correcting_a_mistyped_failure_calls_its_remedy_off(told: Teller) -> None:
    mend = {"kind": "confirm", "id": "mend"}
    job = told({**FIRST, "on_fail": {"remedy": [mend]}}, SECOND)
    job.answer("first", verdict="fail")
    assert job.open_step == "mend"
    job.correct("first", value=False, verdict="pass")
    assert job.status("mend") is Status.DORMANT
    assert job.open_step == "second"


def test_a_corrected_step_at_a_hold_point_is_confirmed_anew(told: Teller) -> None:
    job = told({**FIRST, "hold": "witness"}, SECOND)
    job.answer("first")
    yes = {"role": "witness", "mode": "concurrent", "agrees": True}
    job.tell("hold_confirmed", "first", yes, by="Ben")
    job.correct("first", value=False)
    assert job.status("first") is Status.HOLD
    assert job.open_step == "first"


def test_a_job_stopped_by_a_mistyped_value_still_needs_the_lead(told: Teller) -> None:
    job = told({**FIRST, "on_fail": {}}, SECOND)
    job.answer("first", verdict="fail")
    job.correct("first", value=True)
    assert job.state.stopped == "first"
    job.tell("resumed", body={"role": "lead", "reason": "typing error"}, by="Cleo")
    job.answer("second")


def test_a_replay_gives_the_state_that_single_steps_gave(told: Teller) -> None:
    job = told({**FIRST, "on_fail": {"retry": 3}}, SECOND)
    job.answer("first", verdict="fail")
    job.answer("first", verdict="marginal")
    job.answer("second")
    assert replay(job.plan, job.entries) == job.state
