from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.job.ledger import LedgerLine, ledger
from commission.job.state import Fate

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

WAY = {"id": "way", "label": "Direction", "type": "choice", "choices": ["ahead", "back", "none"],
       "intended": "ahead"}  # fmt: skip
LIMIT = {"id": "limit", "label": "Limit", "type": "quantity", "unit": "V",
         "intended": "pack.full * 1", "equal_within": "1[%]"}  # fmt: skip
PACK = {"kind": "calculate", "id": "pack", "title": "Compute the pack voltage",
        "calculator": "pack-voltage"}  # fmt: skip
READ = {"kind": "read_back", "id": "read", "settings": "all"}
KEY = {"kind": "power_cycle", "id": "prove", "cycle": "key", "off_for": "5[s]", "cycles": 2}


def volts(typed: str) -> dict[str, str]:
    return {"typed": typed, "unit": "V"}


def written(job: Told, setting: str, given: Any, intended: Any) -> None:
    cells = {"part": "cells-1", "given": {setting: given}, "intended": {setting: intended}}
    job.tell("part", f"set_{setting}", cells)
    job.conclude(f"set_{setting}")


def direction(told: Teller, found: str = "back") -> Told:
    job = told(
        READ,
        {"kind": "write", "id": "set_way", "settings": ["way"]},
        {
            **KEY,
            "on_fail": {"remedy": [{"kind": "write", "id": "other_page", "settings": ["way"]}]},
        },
        settings=[WAY],
    )
    job.read("read", way=found)
    return job


def line(job: Told, setting: str = "way") -> LedgerLine:
    return {one.setting: one for one in ledger(job.state)}[setting]


def test_before_anything_is_read_a_line_knows_only_what_is_intended(told: Teller) -> None:
    job = told(READ, settings=[WAY])
    assert line(job) == LedgerLine("way", "Direction", "", "", "ahead", "", "", (), Fate.UNKNOWN)


def test_what_was_not_written_is_as_found(told: Teller) -> None:
    assert line(direction(told)).fate is Fate.AS_FOUND


def test_written_and_not_yet_power_cycled_is_not_proved(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    one = line(job)
    assert (one.found, one.intended, one.written, one.left) == ("back", "ahead", "ahead", ())
    assert one.fate is Fate.WRITTEN


def test_left_as_written_after_every_cycle_is_held(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    job.cycle("prove", 1, way="ahead")
    job.cycle("prove", 2, way="ahead")
    assert line(job).left == ("ahead", "ahead")
    assert line(job).fate is Fate.HELD


def test_back_as_found_after_a_cycle_is_reverted_and_the_story_stays(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    job.cycle("prove", 1, way="back")
    assert line(job).fate is Fate.REVERTED
    job.conclude("prove", verdict="fail")
    job.read("other_page", way="ahead")
    assert line(job).fate is Fate.WRITTEN
    assert line(job).earlier == ("back",)
    job.cycle("prove", 1, way="ahead")
    job.cycle("prove", 2, way="ahead")
    one = line(job)
    assert (one.found, one.earlier, one.left) == ("back", ("back",), ("ahead", "ahead"))
    assert one.fate is Fate.HELD


def test_left_as_something_else_has_drifted(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    job.cycle("prove", 1, way="none")
    assert line(job).fate is Fate.DRIFTED


def test_one_cycle_that_reverted_is_not_made_good_by_the_next(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    job.cycle("prove", 1, way="back")
    job.cycle("prove", 2, way="ahead")
    assert line(job).fate is Fate.REVERTED


def test_read_back_otherwise_than_intended_did_not_take(told: Teller) -> None:
    job = direction(told)
    written(job, "way", "back", "ahead")
    assert line(job).fate is Fate.DID_NOT_TAKE


def test_what_nobody_wrote_and_changed_has_drifted(told: Teller) -> None:
    job = told(READ, {**KEY, "settings": ["way"]}, settings=[WAY])
    job.read("read", way="back")
    job.cycle("prove", 1, way="ahead")
    assert line(job).fate is Fate.DRIFTED


@pytest.mark.parametrize(("left", "fate"), [("58.3", Fate.HELD), ("58.1", Fate.DRIFTED)])
def test_how_close_is_equal_is_the_settings_own(told: Teller, left: str, fate: Fate) -> None:
    # 1 % of 58.8 V is 0.588 V: 58.3 V is within, 58.1 V is not (arithmetic).
    job = told(
        READ, PACK, {"kind": "write", "id": "set_limit", "settings": ["limit"]}, KEY,
        settings=[LIMIT],
    )  # fmt: skip
    job.read("read", limit=volts("50.0"))
    job.answer("pack", {}, judged={"values": {"full": 58.8}})
    written(job, "limit", volts("58.8"), volts("58.8"))
    job.cycle("prove", 1, limit=volts(left))
    one = line(job, "limit")
    assert one.fate is fate
    assert one.left == (f"{left} V",)


def test_a_line_says_what_the_intended_value_was_computed_from(told: Teller) -> None:
    job = told(READ, PACK, settings=[LIMIT, WAY])
    job.read("read", limit=volts("50.0"), way="back")
    assert line(job, "limit").intended == ""
    job.answer("pack", {}, judged={"values": {"full": 58.8}})
    one = line(job, "limit")
    assert one.intended == "58.8 V"
    assert one.computed_from == "pack.full * 1, by pack-voltage in “Compute the pack voltage”"
    assert line(job, "way").computed_from == ""


def test_a_line_shows_that_the_intended_value_has_moved_on_since_it_was_written(
    told: Teller,
) -> None:
    job = told(
        READ, PACK, {"kind": "write", "id": "set_limit", "settings": ["limit"]},
        settings=[LIMIT],
    )  # fmt: skip
    job.read("read", limit=volts("50.0"))
    job.answer("pack", {}, judged={"values": {"full": 58.8}})
    written(job, "limit", volts("58.8"), volts("58.8"))
    assert line(job, "limit").due == ""
    job.correct("pack", {}, judged={"values": {"full": 63.0}})
    one = line(job, "limit")
    assert (one.intended, one.due) == ("58.8 V", "63 V")


def test_without_an_intended_value_a_setting_is_meant_to_stay_as_found(told: Teller) -> None:
    plain = {"id": "name", "label": "Name", "type": "text"}
    job = told(READ, settings=[plain])
    job.read("read", name="old")
    assert line(job, "name").intended == "old"


def test_a_corrected_reading_after_a_cycle_replaces_the_last_of_that_cycle(
    told: Teller,
) -> None:
    job = direction(told)
    written(job, "way", "ahead", "ahead")
    job.cycle("prove", 1, way="back")
    job.cycle("prove", 2, way="ahead")
    job.conclude("prove")
    answer = job.step("prove").answer
    assert answer is not None
    parts = {**answer.parts, "1:read-1": {"way": "ahead"}}
    job.tell("corrected", "prove", {
        "parts": parts, "verdict": "pass", "replaces": answer.seq, "reason": "read the wrong line",
    })  # fmt: skip
    assert line(job).left == ("ahead", "ahead")
    assert line(job).fate is Fate.HELD
