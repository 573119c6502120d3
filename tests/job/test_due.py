from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job.state import Status

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

POLES = {"id": "poles", "label": "Pole pairs", "type": "integer"}
WAY = {"id": "way", "label": "Direction", "type": "choice", "choices": ["ahead", "back"],
       "intended": "ahead"}  # fmt: skip


def number(typed: str) -> dict[str, str]:
    return {"typed": typed, "unit": ""}


def volts(typed: str) -> dict[str, str]:
    return {"typed": typed, "unit": "V"}


def measure(name: str, **more: Any) -> dict[str, Any]:
    return {"kind": "measure", "id": name, "unit": "V", **more}


def below(name: str, other: str) -> dict[str, Any]:
    return measure(name, limits={"max": other})


def answer_all(job: Told, *names: str) -> None:
    for name in names:
        job.answer(name, volts("1.0"))


def test_a_correction_reaches_through_a_chain_and_names_it(told: Teller) -> None:
    job = told(measure("a"), below("b", "a"), below("c", "b"), below("d", "c"), measure("free"))
    answer_all(job, "a", "b", "c", "d", "free")
    job.correct("a", volts("2.0"))
    seq = job.state.seq
    assert job.due() == {
        "b": f"due again because a was corrected in entry {seq}",
        "c": f"due again because a was corrected in entry {seq} (through b)",
        "d": f"due again because a was corrected in entry {seq} (through b, c)",
    }
    assert job.open_step == "b"


def test_in_a_diamond_each_step_is_due_once_by_the_shortest_way(told: Teller) -> None:
    job = told(
        measure("top"), below("left", "top"), below("right", "top"),
        below("bottom", "left + right"), below("shortcut", "bottom + top"),
    )  # fmt: skip
    answer_all(job, "top", "left", "right", "bottom", "shortcut")
    job.correct("top", volts("2.0"))
    assert set(job.due()) == {"left", "right", "bottom", "shortcut"}
    due = {name: job.step(name).due for name in job.due()}
    assert [one.chain for one in due.values() if one] == [
        ("top",), ("top",), ("top", "left"), ("top",),
    ]  # fmt: skip


def test_the_same_value_written_another_way_is_no_change(told: Teller) -> None:
    job = told(measure("a"), below("b", "a"))
    job.answer("a", volts("84.0"))
    job.answer("b", volts("1.0"))
    job.correct("a", volts("84.00"))
    job.correct("a", {"typed": "84000", "unit": "mV"})
    assert job.due() == {}


def test_answering_again_with_another_value_spreads_on(told: Teller) -> None:
    job = told(measure("a"), below("b", "a"), below("c", "b"))
    answer_all(job, "a", "b", "c")
    job.correct("a", volts("2.0"))
    job.answer("b", volts("1.0"))
    job.answer("c", volts("1.0"))
    assert job.open_step == ""
    job.correct("a", volts("3.0"))
    job.answer("b", volts("1.5"))
    assert "a was corrected" in job.due()["c"]
    assert job.step("b").due is None


def test_a_condition_makes_due_what_it_ruled_out_and_what_it_let_in(told: Teller) -> None:
    job = told(
        {"kind": "choose", "id": "lever", "options": ["regen", "plain"]},
        measure("regen_level", when="lever == 'regen'"),
        measure("limited", when="lever == 'plain'", limits={"max": "regen_level"}),
    )
    job.answer("lever", "plain")
    job.tell("not_applicable", "regen_level", {"condition": "", "reason": "lever is plain"})
    job.answer("limited", volts("1"))
    job.correct("lever", "regen")
    assert set(job.due()) == {"regen_level", "limited"}
    job.answer("regen_level", volts("3"))
    job.tell("not_applicable", "limited", {"condition": "", "reason": "lever is regen"})
    assert job.open_step == ""


def test_what_is_not_applicable_does_not_become_due_through_its_limits(told: Teller) -> None:
    job = told(
        measure("a"), {"kind": "choose", "id": "x", "options": ["yes", "no"]},
        measure("b", when="x == 'yes'", limits={"max": "a"}), below("c", "b"),
    )  # fmt: skip
    job.answer("a", volts("1"))
    job.answer("x", "no")
    job.tell("not_applicable", "b", {"condition": "", "reason": "x is no"})
    job.answer("c", volts("1"))
    job.correct("a", volts("2"))
    assert job.due() == {}


def test_a_step_found_not_applicable_after_all_spreads_too(told: Teller) -> None:
    job = told(
        {"kind": "choose", "id": "x", "options": ["yes", "no"]},
        measure("b", when="x == 'yes'"),
        measure("c", rests_on=["b"]),
    )
    job.answer("x", "yes")
    answer_all(job, "b", "c")
    job.correct("x", "no")
    job.tell("not_applicable", "b", {"condition": "", "reason": "x is no"})
    assert job.step("b").answer is None
    assert set(job.due()) == {"c"}


def test_a_calculator_passes_a_change_on(told: Teller) -> None:
    job = told(
        {"kind": "calculate", "id": "speed", "calculator": "wheel-speed",
         "inputs": {"poles": "poles"}},
        below("reading", "speed.top"),
        facts=[POLES],
    )  # fmt: skip
    job.answer("poles", number("5"))
    job.answer("speed", {}, judged={"values": {"top": 10.0}})
    job.answer("reading", volts("1"))
    job.correct("poles", number("4"))
    assert set(job.due()) == {"speed", "reading"}
    job.answer("speed", {}, judged={"values": {"top": 8.0}})
    assert job.due()["reading"].endswith("(through speed)")


SPEED = {"id": "speed", "label": "Speed limit", "type": "quantity", "unit": "V",
         "intended": "wheel.top", "equal_within": "1[%]"}  # fmt: skip
READ = {"kind": "read_back", "id": "read", "settings": "all"}
KEY = {"kind": "power_cycle", "cycle": "key", "off_for": "5[s]"}


def whole_bike(told: Teller) -> Told:
    """A bike with pole pairs, a speed limit from them, a direction, and their persistence."""
    return told(
        READ,
        {"kind": "calculate", "id": "wheel", "calculator": "wheel-speed",
         "inputs": {"poles": "poles"}},
        {"kind": "write", "id": "set_speed", "settings": ["speed"]},
        {"kind": "write", "id": "set_way", "settings": ["way"]},
        {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "way.written",
         "rests_on": ["poles"]},
        {**KEY, "id": "prove", "observe": ["turn"]},
        {"kind": "confirm", "id": "horn"},
        facts=[POLES], settings=[SPEED, WAY],
    )  # fmt: skip


def go_through(job: Told) -> None:
    job.answer("poles", number("5"))
    job.read("read", speed=volts("20"), way="back")
    job.answer("wheel", {}, judged={"values": {"top": 10.0}})
    job.read("set_speed", speed=volts("10"))
    job.read("set_way", way="ahead")
    job.answer("turn", "ahead")
    job.cycle("prove", 1, speed=volts("10"), way="ahead")
    job.part("prove", "1:observe", {"turn": "ahead"})
    job.conclude("prove")
    job.answer("horn")


def test_changed_pole_pairs_make_speed_limit_direction_and_persistence_due(told: Teller) -> None:
    job = whole_bike(told)
    go_through(job)
    job.correct("poles", number("4"))
    seq = job.state.seq
    assert job.due() == {
        "wheel": f"due again because poles was corrected in entry {seq}",
        "set_speed": f"due again because poles was corrected in entry {seq} (through wheel, speed)",
        "turn": f"due again because poles was corrected in entry {seq}",
        "prove": f"due again because poles was corrected in entry {seq} (through wheel, speed)",
    }
    assert job.status("set_way") is Status.PASSED
    assert job.status("horn") is Status.PASSED
    assert job.open_step == "wheel"


def test_a_later_write_makes_the_observation_and_the_proof_due(told: Teller) -> None:
    again = {"kind": "write", "id": "other_page", "settings": ["way"]}
    job = told(
        READ,
        {"kind": "write", "id": "set_way", "settings": ["way"]},
        {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "way.written"},
        {**KEY, "id": "prove"},
        again,
        settings=[WAY],
    )
    job.read("read", way="back")
    job.read("set_way", way="ahead")
    job.answer("turn", "ahead")
    job.cycle("prove", 1, way="ahead")
    job.conclude("prove")
    job.part("other_page", "cells-1", {"way": "ahead"})
    assert job.open_step == "other_page"
    job.conclude("other_page")
    seq = job.state.seq
    assert job.due() == {
        "turn": f"due again because way was written again in entry {seq}",
        "prove": f"due again because way was written again in entry {seq}",
    }
    assert job.status("set_way") is Status.PASSED


def test_a_write_of_what_a_cycle_did_not_cover_leaves_its_proof_alone(told: Teller) -> None:
    job = told(
        READ,
        {"kind": "write", "id": "set_way", "settings": ["way"]},
        {**KEY, "id": "prove"},
        {"kind": "write", "id": "set_speed", "settings": ["speed"]},
        {**KEY, "id": "prove_all"},
        settings=[{**SPEED, "intended": "10[V]"}, WAY],
    )
    job.read("read", speed=volts("20"), way="back")
    job.read("set_way", way="ahead")
    job.cycle("prove", 1, way="ahead")
    job.conclude("prove")
    job.read("set_speed", speed=volts("10"))
    assert job.due() == {}
    assert job.open_step == "prove_all"


def test_a_remedy_that_writes_again_leaves_its_failed_proof_to_the_remedy(told: Teller) -> None:
    other = {"kind": "write", "id": "other_page", "settings": ["way"]}
    job = told(
        READ,
        {"kind": "write", "id": "set_way", "settings": ["way"]},
        {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "way.written"},
        {**KEY, "id": "prove", "on_fail": {"remedy": [other]}},
        settings=[WAY],
    )
    job.read("read", way="back")
    job.read("set_way", way="ahead")
    job.answer("turn", "ahead")
    job.cycle("prove", 1, way="back")
    job.conclude("prove", verdict="fail")
    assert job.open_step == "other_page"
    job.read("other_page", way="ahead")
    assert job.open_step == "turn"
    job.answer("turn", "ahead")
    assert job.open_step == "prove"
    assert job.step("prove").attempt == 2
    job.cycle("prove", 1, way="ahead")
    job.conclude("prove")
    assert job.open_step == ""


def test_a_failed_step_whose_ground_was_corrected_may_be_done_again(told: Teller) -> None:
    mend = {"kind": "confirm", "id": "mend"}
    job = told(measure("a"), {**below("b", "a"), "on_fail": {"remedy": [mend]}})
    job.answer("a", volts("1"))
    job.answer("b", volts("2"), verdict="fail")
    assert job.open_step == "mend"
    job.correct("a", volts("10"))
    assert job.status("mend") is Status.DORMANT
    assert job.open_step == "b"
    assert "a was corrected" in job.due()["b"]


def test_a_held_or_conceded_step_becomes_due_like_a_passed_one(told: Teller) -> None:
    job = told(
        measure("a"),
        {**below("conceded", "a"), "on_fail": {"then": "concession"}},
        {**below("held", "a"), "hold": "witness"},
    )
    job.answer("a", volts("1"))
    job.answer("conceded", volts("2"), verdict="fail")
    job.tell("conceded", "conceded", {
        "role": "lead", "scope": "s", "expiry": "2031-12-31", "reason": "r",
    }, by="Cleo")  # fmt: skip
    job.answer("held", volts("1"))
    job.correct("a", volts("3"))
    assert set(job.due()) == {"conceded", "held"}
    assert job.step("conceded").concession is None


def test_correcting_a_step_that_is_due_keeps_it_due(told: Teller) -> None:
    job = told(measure("a"), below("b", "a"), below("c", "b"))
    answer_all(job, "a", "b", "c")
    job.correct("a", volts("2"))
    job.correct("b", volts("3"))
    assert set(job.due()) == {"b", "c"}


def test_a_corrected_read_back_reaches_what_rests_on_it_as_found(told: Teller) -> None:
    odd = {"kind": "confirm", "id": "odd", "when": "way.found == 'back'"}
    job = told(READ, odd, {"kind": "write", "id": "w", "settings": ["way"]}, settings=[WAY])
    job.read("read", way="back")
    seq = job.state.seq
    job.answer("odd")
    job.read("w", way="ahead")
    job.tell("corrected", "read", {
        "parts": {"cells-1": {"way": "ahead"}}, "verdict": "pass", "replaces": seq, "reason": "r",
    })  # fmt: skip
    assert set(job.due()) == {"odd"}
