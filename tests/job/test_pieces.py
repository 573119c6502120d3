from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.job.conftest import Told

    Teller = Callable[..., Told]

WAY = {"id": "way", "label": "Direction", "type": "choice", "choices": ["ahead", "back"]}
CURRENT = {"id": "current", "label": "Current limit", "type": "quantity", "unit": "A"}
READ = {"kind": "read_back", "id": "read", "settings": "all"}
WRITE = {"kind": "write", "id": "write", "settings": ["way"]}
KEY = {"kind": "power_cycle", "id": "prove", "cycle": "key", "off_for": "10[s]"}
COLD = {**KEY, "cycle": "cold", "below": "5[V]"}
SERIES = {
    "kind": "series", "id": "runs", "runs": 2,
    "columns": [{"id": "a", "label": "A", "unit": "V"}],
}  # fmt: skip
SWEEP = {
    "kind": "sweep", "id": "line",
    "x": {"label": "X", "unit": "V"}, "y": {"label": "Y", "unit": "V"},
}  # fmt: skip


def amps(typed: str) -> dict[str, str]:
    return {"typed": typed, "unit": "A"}


def piece(part: str, **given: Any) -> dict[str, Any]:
    return {"part": part, "given": given or {"value": True}}


def done(verdict: str = "pass") -> dict[str, Any]:
    return {"parts": {}, "verdict": verdict}


def test_writing_is_blocked_until_what_was_found_is_complete(told: Teller) -> None:
    job = told(
        {**READ, "settings": ["current"]},
        {**WRITE, "settings": ["way", "current"]},
        settings=[WAY, CURRENT],
    )
    job.read("read", current=amps("40"))
    refusal = job.refused("part", "write", piece("cells-1", current=amps("30")))
    assert "way cannot be written: not yet read as found" in refusal


def test_the_first_reading_stays_as_found(told: Teller) -> None:
    again = {**READ, "id": "again"}
    job = told(READ, again, settings=[WAY])
    job.read("read", way="back")
    job.read("again", way="ahead")
    found = job.state.settings["way"].found
    assert found is not None
    assert (found.given, found.step) == ("back", "read")


def test_only_a_correction_changes_what_was_found(told: Teller) -> None:
    job = told(READ, settings=[WAY])
    job.read("read", way="back")
    body = {
        "parts": {"cells-1": {"way": "ahead"}}, "verdict": "pass",
        "replaces": job.state.seq, "reason": "read the wrong line",
    }  # fmt: skip
    job.tell("corrected", "read", body)
    found = job.state.settings["way"].found
    assert found is not None
    assert (found.given, found.seq) == ("ahead", job.state.seq)


def test_a_piece_is_replaced_only_by_name_and_with_a_reason(told: Teller) -> None:
    job = told(READ, settings=[WAY, CURRENT])
    job.part("read", "cells-1", {"way": "back"})
    seq = job.state.seq
    new = piece("cells-1", way="ahead")
    assert f"given in entry {seq}" in job.refused("part", "read", new)
    assert "without a reason" in job.refused("part", "read", {**new, "replaces": seq})
    job.tell("part", "read", {**new, "replaces": seq, "reason": "slip"})
    found = job.state.settings["way"].found
    assert found is not None
    assert found.given == "ahead"


def test_a_read_back_is_whole_only_with_every_setting(told: Teller) -> None:
    job = told(READ, settings=[WAY, CURRENT])
    assert "was not begun" in job.refused("answered", "read", done())
    job.part("read", "cells-1", {"way": "back"})
    assert "no value for current" in job.refused("answered", "read", done())
    assert "speed is no setting" in job.refused("part", "read", piece("cells-2", speed="x"))
    job.part("read", "cells-2", {"current": amps("40")})
    job.conclude("read")


def test_runs_and_points_come_in_order_and_are_all_needed(told: Teller) -> None:
    job = told(SERIES, SWEEP)
    assert "due is run-1" in job.refused("part", "runs", piece("run-2"))
    job.part("runs", "run-1", {"a": {"typed": "1", "unit": "V"}})
    assert "1 of 2 pieces" in job.refused("answered", "runs", done())
    job.part("runs", "run-2", {"a": {"typed": "1", "unit": "V"}})
    assert "all are given" in job.refused("part", "runs", piece("run-3"))
    job.conclude("runs")
    for number in (1, 2):
        job.part("line", f"point-{number}", {"x": amps("1"), "y": amps("1")})
    assert "2 of 3 pieces" in job.refused("answered", "line", done())
    assert "due is point-3" in job.refused("part", "line", piece("run-3"))


def test_a_step_in_one_piece_has_no_pieces(told: Teller) -> None:
    job = told({"kind": "confirm", "id": "only"})
    assert "in one piece" in job.refused("part", "only", piece("start"))


def test_a_dwell_cannot_be_cut_short_but_may_fail_early(told: Teller) -> None:
    wait = {"kind": "dwell", "id": "wait", "duration": "30[s]"}
    job = told(wait)
    job.part("wait", "start")
    job.wait(29.9)
    assert "29.9 s have passed" in job.refused("answered", "wait", done())
    assert "is a moment" in job.refused("part", "wait", piece("start"))
    job.conclude("wait", verdict="fail")
    job.part("wait", "start")
    job.wait(30)
    job.conclude("wait")


def test_the_power_stays_off_as_long_as_asked(told: Teller) -> None:
    job = told(KEY)
    assert "before the power is off" in job.refused("part", "prove", piece("1:on"))
    job.part("prove", "1:off")
    job.wait(9.5)
    refusal = job.refused("part", "prove", piece("1:on"))
    assert "off for 9.5 s; it has to be off for 10.0 s" in refusal
    job.wait(0.5)
    job.part("prove", "1:on")
    job.conclude("prove")


def test_setting_the_wall_clock_does_not_shorten_the_off_period(told: Teller) -> None:
    job = told(KEY)
    job.part("prove", "1:off")
    job.wait(2)
    job.wall_shift = 3600
    assert "off for 2.0 s" in job.refused("part", "prove", piece("1:on"))


def test_over_a_restart_of_the_computer_the_wall_clock_counts(told: Teller) -> None:
    job = told(KEY)
    job.part("prove", "1:off")
    job.wait(9)
    job.boot = "boot-2"
    assert "off for 9.0 s" in job.refused("part", "prove", piece("1:on"))
    job.wait(1)
    job.part("prove", "1:on")


def test_a_cold_cycle_needs_the_bus_seen_below_its_threshold(told: Teller) -> None:
    job = told(COLD)
    job.part("prove", "1:off")
    job.wait(60)
    assert "not read" in job.refused("part", "prove", piece("1:on"))
    for typed in ("12.0", "5.0"):
        job.part("prove", "1:bus", {"value": {"typed": typed, "unit": "V"}})
        assert "not seen below 5 V" in job.refused("part", "prove", piece("1:on"))
    job.part("prove", "1:bus", {"value": {"typed": "4900", "unit": "mV"}})
    job.part("prove", "1:on")
    late = piece("1:bus", value={"typed": "1", "unit": "V"})
    assert "1:bus" in job.refused("part", "prove", late)


def test_a_key_flick_does_not_count_as_a_cold_cycle(told: Teller) -> None:
    job = told(COLD)
    job.part("prove", "1:off")
    job.wait(1)
    job.part("prove", "1:bus", {"value": {"typed": "1", "unit": "V"}})
    assert "off for 1.0 s" in job.refused("part", "prove", piece("1:on"))


def test_after_each_cycle_everything_written_is_read_and_seen_again(told: Teller) -> None:
    turn = {"kind": "observe", "id": "turn", "options": ["ahead", "back"], "expected": "ahead"}
    prove = {**KEY, "cycles": 2, "observe": ["turn"]}
    job = told(READ, WRITE, turn, prove, settings=[WAY, CURRENT])
    job.read("read", way="back", current=amps("40"))
    job.read("write", way="ahead")
    job.answer("turn", "ahead")
    job.cycle("prove", 1)
    assert "current is not read" in job.refused(
        "part", "prove", piece("1:read-1", current=amps("40"))
    )
    job.part("prove", "1:read-1", {"way": "ahead"})
    assert "not of the cycle in hand" in job.refused("part", "prove", piece("2:off"))
    job.part("prove", "1:observe", {"turn": "ahead"})
    assert "Cycle 2 of 2" in job.refused("answered", "prove", done())
    job.cycle("prove", 2, way="ahead")
    job.part("prove", "2:observe", {"turn": "ahead"})
    job.conclude("prove")
    assert [(held.given, held.cycle) for held in job.state.settings["way"].left] == [
        ("ahead", 1), ("ahead", 2),
    ]  # fmt: skip


def test_a_cycle_in_which_a_setting_reverted_may_end_the_step_as_failed(told: Teller) -> None:
    job = told(READ, WRITE, {**KEY, "cycles": 2}, settings=[WAY])
    job.read("read", way="back")
    job.read("write", way="ahead")
    job.cycle("prove", 1, way="back")
    job.conclude("prove", verdict="fail")
    assert job.step("prove").attempt == 2
    assert job.step("prove").parts == {}


def test_there_is_no_other_piece_of_a_power_cycle(told: Teller) -> None:
    job = told(KEY)
    for part in ("2:off", "1:wait", "off", "0:off"):
        assert "has no piece" in job.refused("part", "prove", piece(part))
