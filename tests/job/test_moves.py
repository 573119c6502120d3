"""What may happen next: strict answers, polite refusals that leave nothing behind, corrections."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import RefusedError
from commission.job import moves
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.entry import Draft

MEASURE: dict[str, Any] = {
    "kind": "measure", "id": "pack", "unit": "V", "limits": {"max": "58.8[V]"},
}  # fmt: skip
CONFIRM: dict[str, Any] = {"kind": "confirm", "id": "stand"}
CAUTION = {"signal": "WARNING", "hazard": "Heat", "consequence": "burns", "avoidance": "Wait."}
SETTING: dict[str, Any] = {
    "id": "limit", "label": "Current limit", "type": "quantity", "unit": "A",
    "range": ["0[A]", "400[A]"], "intended": "100[A]",
}  # fmt: skip


class Worker:
    """A job driven through moves: every draft is put to `advance`."""

    def __init__(self, job: Any) -> None:
        self.job = job

    def tell(self, *drafts: Draft) -> None:
        for draft in drafts:
            self.job.tell(draft.kind, draft.step, draft.body, draft.by, draft.attempt)

    def give(self, step: str, by: str = "Ada", **given: Any) -> tuple[Draft, ...]:
        self.job.wait(1)
        drafts = moves.submit(self.state, step, given, by, self.job.now())
        self.tell(*drafts)
        return drafts

    def refused(self, step: str, by: str = "Ada", **given: Any) -> str:
        before = self.state
        with pytest.raises(RefusedError) as caught:
            moves.submit(before, step, given, by, self.job.now())
        assert self.state is before
        return caught.value.diagnostics()

    def correct(
        self, step: str, parts: Mapping[str, Mapping[str, str]], why: str = "misread"
    ) -> None:
        self.tell(*moves.correct(self.state, step, parts, why, "Ada", self.job.now()))

    def asking(self, step: str, part: str | None = None) -> Any:
        return moves.asking(self.state, step, self.job.now(), part)

    def status(self, step: str) -> Status:
        return self.job.status(step)  # type: ignore[no-any-return]

    @property
    def state(self) -> Any:
        return self.job.state


@pytest.fixture
def work(told: Callable[..., Any]) -> Callable[..., Worker]:
    return lambda *steps, **head: Worker(told(*steps, **head))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("3,5", "comma"),
        ("1 000", "not a number"),
        ("abc", "not a number"),
        ("", "nothing was entered"),
        ("   ", "nothing was entered"),
        ("5 A", "cannot be turned into V"),
        ("−5", "minus"),
        ("1e999", "too large"),
        ("1e14 MV", "too large"),
        ("5 furlongs of V", "not a known unit"),
        ("٣", "not a number"),
        ("9" * 90, "too long"),
        ("0x10", "not a known unit"),
        ("nan", "not a number"),
    ],
)
def test_a_number_is_parsed_strictly_and_its_field_is_named(
    work: Callable[..., Worker], typed: str, words: str
) -> None:
    said = work(MEASURE).refused("pack", value=typed)
    assert words in said
    assert said.startswith("Reading:")


def test_what_was_typed_is_kept_as_typed(work: Callable[..., Worker]) -> None:
    (draft,) = work(MEASURE).give("pack", value=" 52.0 ")
    assert draft.body["parts"] == {"": {"value": {"typed": "52.0", "unit": "V"}}}
    (draft,) = work(MEASURE).give("pack", value="52000 mV")
    assert draft.body["parts"] == {"": {"value": {"typed": "52000", "unit": "mV"}}}
    assert draft.body["verdict"] == "pass"


def test_unknown_fields_are_refused_with_the_nearest(work: Callable[..., Worker]) -> None:
    said = work(MEASURE).refused("pack", valu="5")
    assert "'valu' is not asked here." in said
    assert "Did you mean value?" in said


def test_choices_are_taken_whatever_their_case_and_kept_as_written(
    work: Callable[..., Worker],
) -> None:
    lever = {"kind": "choose", "id": "lever", "options": ["Off", "Regen"], "good": ["Off"]}
    (draft,) = work(lever).give("lever", value="rEGEN")
    assert draft.body["parts"][""]["value"] == "Regen"
    assert draft.body["verdict"] == "fail"
    assert draft.body["because"] == "It is Regen; good is Off."
    assert "Choose one of: Off, Regen." in work(lever).refused("lever", value="Reg")


def test_an_observation_is_never_passed_empty(work: Callable[..., Worker]) -> None:
    wheel = {"kind": "observe", "id": "wheel", "options": ["ahead", "back"], "expected": "ahead"}
    job = work(wheel)
    assert job.asking("wheel").asks[0].offered == ""
    assert "nothing was entered" in job.refused("wheel", value="")
    assert "nothing was entered" in job.refused("wheel")
    job.give("wheel", value="back")
    assert job.status("wheel") is Status.FAILED


def test_what_cannot_be_done_needs_a_reason_and_fails(work: Callable[..., Worker]) -> None:
    job = work(CONFIRM)
    assert "Why it cannot be done" in job.refused("stand", value="cannot")
    (draft,) = job.give("stand", value="cannot", reason="No stand here")
    assert draft.body["verdict"] == "fail"
    assert "does not confirm" in job.refused("stand", value="maybe")


def test_texts_are_stripped_bounded_and_free_of_control_characters(
    work: Callable[..., Worker],
) -> None:
    unit = {"kind": "identify", "id": "unit", "fields": [{"id": "serial", "label": "Serial"}]}
    job = work(unit)
    assert "too many" in job.refused("unit", serial="A" * 201)
    assert "too many" in job.refused("unit", serial="A" * 501)
    assert "U+001B" in job.refused("unit", serial="A\x1b[31m")
    (draft,) = job.give("unit", serial="  AB 12  ")
    assert draft.body["parts"][""]["serial"] == "AB 12"


@pytest.mark.parametrize("typed", ["14.0", "1e1", "14 cells", "fourteen", "1_4", "٣"])
def test_an_integer_is_typed_as_one(work: Callable[..., Worker], typed: str) -> None:
    fact = {"id": "series", "label": "Cells", "type": "integer", "unit": "cells"}
    assert "Cells: " in work(CONFIRM, facts=[fact]).refused("series", value=typed)


def test_a_fact_outside_its_plausible_range_is_refused_with_the_range(
    work: Callable[..., Worker],
) -> None:
    fact = {"id": "series", "label": "Cells", "type": "integer", "range": ["10", "24"],
            "default": "14"}  # fmt: skip
    job = work(CONFIRM, facts=[fact])
    (ask,) = job.asking("series").asks
    assert (ask.criterion, ask.offered) == ("10 to 24", "14")
    assert job.refused("series", value="25").startswith(
        "Cells 25 is outside the plausible range, 10 to 24."
    )
    job.give("series", value="24")
    assert job.status("series") is Status.PASSED


def test_an_optional_fact_may_stay_unknown(work: Callable[..., Worker]) -> None:
    fact = {"id": "name", "label": "Name", "type": "text", "optional": True}
    job = work(CONFIRM, facts=[fact])
    (draft,) = job.give("name")
    assert draft.body["because"] == "Name is not known."


def test_a_setting_read_outside_its_range_is_recorded_and_flagged(
    work: Callable[..., Worker],
) -> None:
    read = {"kind": "read_back", "id": "found", "settings": "all"}
    drafts = work(read, settings=[SETTING]).give("found", limit="900")
    assert drafts[-1].body["verdict"] == "pass"
    assert "outside the plausible range, 0 to 400 A" in drafts[-1].body["because"]
    assert drafts[-1].body["judged"]["implausible"] == ["limit"]


def test_the_open_step_is_named_to_whoever_answers_another(work: Callable[..., Worker]) -> None:
    said = work(MEASURE, CONFIRM).refused("stand", value="done")
    assert "is not the step to do now" in said
    assert "(pack)" in said
    assert "no step" in work(MEASURE).refused("nonsense", value="done")


def test_strangers_do_not_answer(work: Callable[..., Worker]) -> None:
    assert "Zoe does not take part" in work(CONFIRM).refused("stand", by="Zoe", value="done")


def test_a_caution_is_acknowledged_first(work: Callable[..., Worker]) -> None:
    job = work({**CONFIRM, "caution": CAUTION})
    assert "caution" in job.refused("stand", value="done")
    assert "caution" in moves.suggest(job.state)
    job.tell(moves.acknowledge(job.state, "stand", "Ada"))
    with pytest.raises(RefusedError, match="already"):
        moves.acknowledge(job.state, "stand", "Ada")
    job.give("stand", value="done")
    assert job.status("stand") is Status.PASSED


def test_a_hold_waits_for_another_person_with_the_role(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "hold": "witness"}, CONFIRM)
    job.give("pack", by="Ben", value="50")
    assert "Work is held" in job.refused("pack", value="50")
    assert "a witness" in moves.suggest(job.state)
    for by, words in (("Ben", "did this step"), ("Ada", "takes a witness")):
        with pytest.raises(RefusedError, match=words):
            moves.confirm_hold(job.state, "pack", by)


def test_a_witness_may_refuse_with_a_reason(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "hold": "witness"})
    job.give("pack", value="50")
    with pytest.raises(RefusedError, match="Reason"):
        moves.confirm_hold(job.state, "pack", "Ben", agrees=False)
    job.tell(moves.confirm_hold(job.state, "pack", "Ben", agrees=False, reason="wrong probe"))
    assert job.status("pack") is Status.FAILED


def test_a_witness_who_refuses_again_and_again_stops_the_job(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "hold": "witness", "on_fail": {"retry": 2}})
    for _ in range(3):
        assert not job.state.stopped
        job.give("pack", value="50")
        job.tell(moves.confirm_hold(job.state, "pack", "Ben", agrees=False, reason="wrong probe"))
    assert job.state.stopped == "pack"


def test_a_stopped_job_takes_a_lead(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "on_fail": {"then": "stop"}})
    job.give("pack", value="60")
    assert "The job is stopped" in job.refused("pack", value="50")
    assert "a lead" in moves.suggest(job.state)
    with pytest.raises(RefusedError, match="takes a lead"):
        moves.resume(job.state, "Ada", "looked at it")
    with pytest.raises(RefusedError, match="Reason"):
        moves.resume(job.state, "Cleo", " ")
    job.tell(moves.resume(job.state, "Cleo", "meter was wrong"))
    job.give("pack", value="50")
    assert job.status("pack") is Status.PASSED


def test_a_concession_has_role_scope_reason_and_a_day_to_come(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "on_fail": {"then": "concession"}})
    with pytest.raises(RefusedError, match="does not wait"):
        concede(job)
    job.give("pack", value="60")
    assert "concession by a lead" in job.refused("pack", value="50")
    assert "concession" in moves.suggest(job.state)
    for wrong, words in (
        ({"by": "Ada"}, "takes a lead"),
        ({"expiry": "2031-05-05"}, "in the past"),
        ({"expiry": "soon"}, "not a date"),
        ({"scope": ""}, "Scope"),
        ({"reason": ""}, "Reason"),
    ):
        with pytest.raises(RefusedError, match=words):
            concede(job, **wrong)
    job.tell(concede(job))
    assert job.status("pack") is Status.CONCEDED


def concede(job: Worker, by: str = "Cleo", **given: str) -> Draft:
    given = {"scope": "this ride", "expiry": "2031-05-06", "reason": "known shift", **given}
    return moves.concede(job.state, "pack", by, now=job.job.now(), **given)


def test_nothing_goes_on_before_the_last_steps_are_read_again(work: Callable[..., Worker]) -> None:
    job = work(CONFIRM, MEASURE)
    job.give("stand", value="done")
    job.tell(moves.leave(job.state, "Ada"))
    assert "was left" in job.refused("pack", value="50")
    job.tell(moves.come_back(job.state, "Ada"))
    assert "read again" in job.refused("pack", value="50")
    assert "Read the last steps" in moves.suggest(job.state)
    job.tell(moves.reread(job.state, "Ada"))
    job.give("pack", value="50")
    with pytest.raises(RefusedError, match="Nothing is to be read"):
        moves.reread(job.state, "Ada")


def test_nothing_is_written_before_it_was_read_as_found(work: Callable[..., Worker]) -> None:
    write = {"kind": "write", "id": "set", "settings": ["limit"]}
    said = work(write, settings=[SETTING]).refused("set", limit="100")
    assert said.startswith("Not yet read as found: Current limit.")


def test_a_wait_cannot_be_cut_short(work: Callable[..., Worker]) -> None:
    job = work({"kind": "dwell", "id": "rest", "duration": "60[s]"})
    job.give("rest", value="done")
    job.job.wait(20)
    assert "Wait another 40 s." in job.refused("rest", value="done")
    wait = job.asking("rest").wait
    assert (wait.seconds, wait.remaining) == (60.0, 40.0)
    job.job.wait(40)
    job.give("rest", value="done")
    assert job.status("rest") is Status.PASSED


def test_the_wall_clock_set_forward_does_not_shorten_a_wait(work: Callable[..., Worker]) -> None:
    job = work({"kind": "dwell", "id": "rest", "duration": "60[s]"})
    job.give("rest", value="done")
    job.job.wall_shift = 3600
    assert "Wait another 60 s." in job.refused("rest", value="done")


def test_a_step_whose_condition_is_false_is_not_applicable_with_the_values(
    work: Callable[..., Worker],
) -> None:
    fact = {"id": "series", "label": "Cells", "type": "integer", "unit": "cells"}
    job = work({**CONFIRM, "when": "series > 14"}, facts=[fact])
    assert moves.automatic(job.state, job.job.now()) == ()
    job.give("series", value="14")
    job.tell(*moves.automatic(job.state, job.job.now()))
    assert job.status("stand") is Status.NOT_APPLICABLE
    assert job.state.steps["stand"].reason == "series is 14 cells"
    assert moves.automatic(job.state, job.job.now()) == ()


def test_a_step_that_rests_on_one_not_applicable_is_not_applicable_either(
    work: Callable[..., Worker],
) -> None:
    fact = {"id": "fitted", "label": "Lever fitted", "type": "yes_no"}
    lever = {"kind": "choose", "id": "lever", "options": ["off", "regen"], "when": "fitted"}
    job = work(lever, {**MEASURE, "when": "lever == 'regen'"}, CONFIRM, facts=[fact])
    job.give("fitted", value="no")
    for _ in range(2):
        job.tell(*moves.automatic(job.state, job.job.now()))
    assert job.state.steps["lever"].reason == "fitted is no"
    assert job.state.steps["pack"].reason == "lever is not applicable"
    assert moves.automatic(job.state, job.job.now()) == ()
    job.correct("fitted", {"": {"value": "yes"}})
    assert job.status("lever") is Status.DUE_AGAIN
    assert "Do lever” again" in moves.suggest(job.state)


def test_a_condition_that_rests_on_something_unknown_does_not_let_a_step_fall_away(
    work: Callable[..., Worker],
) -> None:
    fact = {"id": "fitted", "label": "Lever fitted", "type": "yes_no", "optional": True}
    job = work({**CONFIRM, "when": "fitted"}, facts=[fact])
    job.give("fitted")
    assert moves.automatic(job.state, job.job.now()) == ()


def test_a_correction_is_judged_again_and_says_why(work: Callable[..., Worker]) -> None:
    job = work(MEASURE, CONFIRM)
    job.give("pack", value="50")
    for reason, parts, words in (
        ("no", {"": {"value": "51"}}, "Reason"),
        ("misread", {"": {"value": "50"}}, "Nothing is changed"),
        ("misread", {"": {"value": "5,1"}}, "comma"),
        ("misread", {"x": {"value": "51"}}, "no piece"),
    ):
        with pytest.raises(RefusedError, match=words):
            job.correct("pack", parts, reason)
    with pytest.raises(RefusedError, match="no answer to correct"):
        job.correct("stand", {"": {"value": "done"}})
    job.correct("pack", {"": {"value": "60"}})
    assert job.status("pack") is Status.FAILED
    assert "above the largest allowed" in job.state.steps["pack"].answer.because


def test_a_piece_is_replaced_with_a_reason_before_the_step_is_concluded(
    work: Callable[..., Worker],
) -> None:
    column = {"id": "volts", "label": "Volts", "unit": "V", "range": "1[V]"}
    job = work({"kind": "series", "id": "sag", "runs": 3, "columns": [column]})
    job.give("sag", volts="50.0")
    job.give("sag", volts="59.2")
    with pytest.raises(RefusedError, match="no piece"):
        moves.replace_part(job.state, "sag", "run-3", {"volts": "1"}, "misread", "Ada")
    with pytest.raises(RefusedError, match="Reason"):
        moves.replace_part(job.state, "sag", "run-2", {"volts": "50.2"}, "", "Ada")
    offered = job.asking("sag", "run-2").asks[0].offered
    assert offered == "59.2"
    job.tell(*moves.replace_part(job.state, "sag", "run-2", {"volts": "50.2"}, "misread", "Ada"))
    job.give("sag", volts="50.1")
    assert job.status("sag") is Status.PASSED


def test_open_items_are_noted_and_closed(work: Callable[..., Worker]) -> None:
    job = work({"kind": "sign_off", "id": "free", "meaning": "released", "role": "lead"})
    with pytest.raises(RefusedError, match="Grade"):
        moves.note(job.state, "worn tyre", "C", "Ada")
    with pytest.raises(RefusedError, match="nothing was entered"):
        moves.note(job.state, " ", "A", "Ada")
    job.tell(moves.note(job.state, "worn tyre", "a", "Ada"))
    assert "worn tyre" in job.refused("free", by="Cleo", value="done")
    assert "takes a lead" in job.refused("free", value="done")
    with pytest.raises(RefusedError, match="no open item 99"):
        moves.close_note(job.state, 99, "changed", "Ada")
    job.tell(moves.close_note(job.state, job.state.seq, "tyre changed", "Ada"))
    (draft,) = job.give("free", by="Cleo", value="done")
    assert draft.body["judged"]["meaning"] == "released"
    assert draft.body["judged"]["signer"] == "Cleo"
    assert job.state.outcome == "released"
    assert "has ended" in job.refused("free", by="Cleo", value="done")


def test_people_join_and_a_job_is_abandoned_with_a_reason(work: Callable[..., Worker]) -> None:
    job = work(CONFIRM)
    for name, roles in (("", ("lead",)), ("Dan", ()), ("Dan", ("king",)), ("Cleo", ("lead",))):
        with pytest.raises(RefusedError, match=r"name|Role|already"):
            moves.join(job.state, name, roles, "Ada")
    job.tell(moves.join(job.state, "Dan", ("witness",), "Ada"))
    assert job.state.people["Dan"] == {"witness"}
    with pytest.raises(RefusedError, match="Reason"):
        moves.abandon(job.state, "", "Ada")
    job.tell(moves.abandon(job.state, "customer took it back", "Ada"))
    assert job.state.outcome == "abandoned"


def test_a_job_ends_without_release_in_one_of_few_words(work: Callable[..., Worker]) -> None:
    job = work(CONFIRM)
    for outcome in ("", "released", "lost"):
        with pytest.raises(RefusedError, match="Outcome") as caught:
            moves.abandon(job.state, "customer took it back", "Ada", outcome)
        assert "handed back unfinished" in caught.value.hint
    job.tell(moves.abandon(job.state, "no parts", "Ada", "handed back unfinished"))
    assert job.state.outcome == "handed back unfinished"


def test_a_failed_step_says_what_comes_next(work: Callable[..., Worker]) -> None:
    job = work({**MEASURE, "on_fail": {"retry": 1, "remedy": [
        {"kind": "confirm", "id": "charge"}]}})  # fmt: skip
    job.give("pack", value="60")
    assert "retry 1 of 1" in moves.suggest(job.state)
    job.give("pack", value="60")
    assert moves.suggest(job.state) == "Remedy for “Do pack”: Do charge."
    job.give("charge", value="done")
    assert "again, now that its remedy is done" in moves.suggest(job.state)
