from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.route import OPEN, SIGNS, RouteLine, progress, route
from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

MEND = {"kind": "confirm", "id": "mend"}
FIRST = {"kind": "confirm", "id": "first", "on_fail": {"remedy": [MEND]}}
SECOND = {"kind": "confirm", "id": "second"}


def lines(job: Told) -> dict[str, RouteLine]:
    return {line.step: line for line in route(job.state)}


def test_every_status_has_a_sign_of_its_own_in_plain_ascii() -> None:
    assert set(SIGNS) == set(Status)
    signs = [*SIGNS.values(), OPEN]
    assert len(set(signs)) == len(signs)
    assert all(len(sign) == 1 and sign.isascii() and sign.isprintable() for sign in signs)


def test_lines_are_numbered_with_remedies_under_their_step(told: Teller) -> None:
    job = told(FIRST, SECOND)
    assert [(line.step, line.number, line.indent) for line in route(job.state)] == [
        ("mend", "1.1", 1), ("first", "1", 0), ("second", "2", 0),
    ]  # fmt: skip


def test_the_step_to_do_is_marked_by_sign_and_flag(told: Teller) -> None:
    job = told(FIRST, SECOND)
    job.answer("first")
    shown = lines(job)
    assert (shown["first"].sign, shown["first"].word) == ("+", "passed")
    assert (shown["second"].sign, shown["second"].is_open) == (">", True)


def test_a_failed_step_says_what_comes_next(told: Teller) -> None:
    job = told(FIRST, SECOND)
    job.answer("first", verdict="fail", because="It is loose.")
    assert lines(job)["first"].reason == "It is loose. Its remedy comes first."
    assert lines(job)["mend"].is_open
    job.answer("mend")
    assert lines(job)["first"].reason == "It is loose. Do it again."
    job.answer("first", verdict="fail", because="Still loose.")
    stopped = lines(job)["first"]
    assert stopped.reason == "Still loose. The job is stopped until a lead resumes it."
    assert stopped.sign == "x"


def test_due_hold_and_concession_say_why(told: Teller) -> None:
    job = told(
        {"kind": "choose", "id": "a", "options": ["x", "y"]},
        {"kind": "confirm", "id": "b", "rests_on": ["a"]},
        {"kind": "confirm", "id": "c", "on_fail": {"then": "concession"}},
        {"kind": "confirm", "id": "d", "hold": "witness"},
    )
    job.answer("a", "x")
    job.answer("b")
    job.answer("c", verdict="fail")
    assert lines(job)["c"].reason == "A lead may concede it."
    leave = {"role": "lead", "scope": "s", "expiry": "2031-12-31", "reason": "part ordered"}
    job.tell("conceded", "c", leave, by="Cleo")
    assert lines(job)["c"].reason == "by Cleo until 2031-12-31: part ordered"
    job.answer("d")
    assert lines(job)["d"].reason == "a witness has to confirm it"
    job.correct("a", "y")
    assert lines(job)["b"].reason.startswith("due again because a was corrected")
    assert lines(job)["b"].sign == "!"


def test_progress_counts_what_is_settled_and_only_remedies_that_are_called_for(
    told: Teller,
) -> None:
    job = told(FIRST, SECOND)
    assert progress(job.state) == (0, 2)
    job.answer("first", verdict="fail")
    assert progress(job.state) == (0, 3)
    job.answer("mend")
    job.answer("first")
    assert progress(job.state) == (2, 3)
