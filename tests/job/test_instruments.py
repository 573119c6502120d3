"""Readings that cite the instrument they were taken with."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import IllegalEntryError, RefusedError
from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.job.instrument import Citable, unregistered
from commission.job.judge import judge_again
from commission.job.moves_instruments import InstrumentError
from commission.job.state import Status
from commission.quantities import Reading

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.entry import Draft

RANGES = parse_ranges("60 V: 1 % + 2 counts of 0.01; 600 V: 2 % + 3 counts of 0.1")
GOOD = Citable("dmm-1", "multimeter", "bench meter", "4711", RANGES, "2031-12-31")
LATE = Citable("dmm-2", "multimeter", "old meter", "4712", RANGES, "2030-12-31", "overdue")
EQUIPMENT = {"id": "meter", "label": "Meter", "kind": "multimeter", "percent": 0.1, "counts": 1}
PACK = {
    "kind": "measure", "id": "pack", "unit": "V", "instrument": "meter",
    "limits": {"max": "58.8[V]"}, "on_fail": {"retry": 5},
}  # fmt: skip


@pytest.fixture
def job(told: Callable[..., Any]) -> Callable[..., Any]:
    def make(*steps: Any, rule: str | None = None) -> Any:
        equipment = EQUIPMENT if rule is None else {**EQUIPMENT, "overdue": rule}
        return told(*(steps or (PACK,)), equipment=[equipment])

    return make


def read(told: Any, typed: str, instrument: Citable | None, step: str = "pack") -> None:
    drafts = moves.submit(
        told.state, step, {"value": typed}, "Ada", told.now(), instrument=instrument
    )
    for draft in drafts:
        tell(told, draft)


def tell(told: Any, draft: Draft) -> None:
    told.tell(draft.kind, draft.step, draft.body, by=draft.by, attempt=draft.attempt)


def test_a_reading_says_what_it_was_read_with_and_how_sure_that_makes_it(job: Any) -> None:
    told = job()
    assert moves.asking(told.state, "pack", told.now()).instrument == "multimeter"
    read(told, "58.50", GOOD)
    answer = told.state.steps["pack"].answer
    cited = answer.parts[""]["value"]["instrument"]
    assert cited == {
        "id": "dmm-1", "serial": "4711", "label": "bench meter", "due": "2031-12-31",
        "state": "good", "range": "60 V", "percent": 1.0, "counts": 2.0, "count": 0.01,
    }  # fmt: skip
    # 0.1 % + 1 count, what the procedure asks for, would let 58.50 V pass.
    assert answer.verdict == "marginal"
    assert answer.judged["checks"][0]["accuracy"]["stated_by"] == "register"
    assert judge_again(answer.judged) == "marginal"


def test_without_an_instrument_the_record_says_that_the_procedure_stated_the_accuracy(
    job: Any,
) -> None:
    told = job()
    read(told, "58.50", None)
    answer = told.state.steps["pack"].answer
    assert "instrument" not in answer.parts[""]["value"]
    assert answer.verdict == "pass"
    assert answer.judged["checks"][0]["accuracy"]["stated_by"] == "procedure"


def test_an_instrument_without_a_range_for_it_leaves_the_accuracy_to_the_procedure(
    job: Any,
) -> None:
    told = job()
    read(told, "58.50", Citable("dmm-3", "multimeter", "bare meter", "1"))
    answer = told.state.steps["pack"].answer
    assert answer.parts[""]["value"]["instrument"]["range"] is None
    assert answer.judged["checks"][0]["accuracy"]["stated_by"] == "procedure"


@pytest.mark.parametrize("instrument", [LATE, unregistered("multimeter")])
def test_a_procedure_can_stop_on_an_instrument_out_of_calibration(
    job: Any, instrument: Citable
) -> None:
    told = job(rule="stop")
    with pytest.raises(RefusedError, match="does not take readings"):
        read(told, "50.00", instrument)
    assert told.state.steps["pack"].answer is None
    read(told, "50.00", GOOD)
    assert told.state.steps["pack"].status is Status.PASSED


def test_a_procedure_can_take_it_and_say_so(job: Any) -> None:
    told = job(rule="warn")
    read(told, "50.00", LATE)
    assert told.state.steps["pack"].answer.parts[""]["value"]["instrument"]["state"] == "overdue"


@pytest.mark.parametrize("rule", [None, "concession"])
def test_a_lead_gives_leave_until_a_day(job: Any, rule: str | None) -> None:
    told = job(rule=rule)
    with pytest.raises(InstrumentError, match="was due for calibration on 2030-12-31") as refused:
        read(told, "50.00", LATE)
    assert refused.value.instrument is LATE
    leave = {"scope": "the pack's voltage", "reason": "the other is away", "now": told.now()}
    with pytest.raises(RefusedError, match="takes a lead"):
        moves.concede_instrument(told.state, LATE, "Ada", expiry="2031-05-06", **leave)
    for expiry, says in (("2031-05-05", "in the past"), ("soon", "not a date")):
        with pytest.raises(RefusedError, match=says):
            moves.concede_instrument(told.state, LATE, "Cleo", expiry=expiry, **leave)
    tell(told, moves.concede_instrument(told.state, LATE, "Cleo", expiry="2031-05-06", **leave))
    assert told.state.instrument_leaves["dmm-2"].by == "Cleo"
    read(told, "50.00", LATE)
    assert told.state.steps["pack"].status is Status.PASSED


def test_leave_ends_and_is_for_one_instrument(job: Any) -> None:
    told = job()
    leave = {"scope": "this bike", "expiry": "2031-05-06", "reason": "the other is away"}
    tell(told, moves.concede_instrument(told.state, LATE, "Cleo", **leave, now=told.now()))
    with pytest.raises(InstrumentError):
        read(told, "50.00", unregistered("multimeter"))
    told.wait(86_400)
    with pytest.raises(InstrumentError):
        read(told, "50.00", LATE)


def test_no_legal_record_reads_without_leave(job: Any) -> None:
    told = job()
    body = {
        "parts": {"": {"value": {
            "typed": "50.00", "unit": "V", "instrument": LATE.cited(volts("50.00")),
        }}},
        "verdict": "pass", "because": "", "judged": {"rule": 1, "checks": []},
    }  # fmt: skip
    with pytest.raises(IllegalEntryError, match="without leave"):
        told.tell("answered", "pack", body, attempt=1)


def test_a_correction_keeps_the_instrument(job: Any) -> None:
    told = job()
    read(told, "58.50", GOOD)
    drafts = moves.correct(
        told.state, "pack", {"": {"value": "50.58"}}, "digits swapped", "Ada", told.now()
    )
    for draft in drafts:
        tell(told, draft)
    answer = told.state.steps["pack"].answer
    assert answer.parts[""]["value"]["typed"] == "50.58"
    assert answer.parts[""]["value"]["instrument"]["id"] == "dmm-1"
    assert answer.judged["checks"][0]["accuracy"]["stated_by"] == "register"


def test_each_run_of_a_series_and_each_point_of_a_sweep_cites_one(job: Any) -> None:
    series = {
        "kind": "series", "id": "runs", "runs": 2, "instrument": "meter",
        "columns": [{"id": "volts", "label": "Volts", "unit": "V", "max": "58.8[V]"}],
    }  # fmt: skip
    sweep = {
        "kind": "sweep", "id": "line", "instrument": "meter", "points": ["0[%]", "50[%]", "100[%]"],
        "x": {"label": "Grip", "unit": "%"}, "y": {"label": "Signal", "unit": "V"},
    }  # fmt: skip
    told = job(series, sweep)
    for _ in range(2):
        give(told, "runs", volts="58.50")
    answer = told.state.steps["runs"].answer
    assert [one["volts"]["instrument"]["id"] for one in answer.parts.values()] == ["dmm-1"] * 2
    assert answer.verdict == "marginal"
    for x, y in (("0", "0.80"), ("50", "2.50"), ("100", "4.20")):
        give(told, "line", x=x, y=y)
    points = told.state.steps["line"].answer.parts.values()
    assert all("instrument" in one["y"] and "instrument" not in one["x"] for one in points)


def give(told: Any, step: str, **typed: str) -> None:
    for draft in moves.submit(told.state, step, typed, "Ada", told.now(), instrument=GOOD):
        tell(told, draft)


def test_what_is_no_reading_of_an_instrument_cites_none(job: Any) -> None:
    told = job({"kind": "measure", "id": "pack", "unit": "V"})
    assert moves.asking(told.state, "pack", told.now()).instrument == ""
    read(told, "50.0", LATE)
    assert "instrument" not in told.state.steps["pack"].answer.parts[""]["value"]


def volts(typed: str) -> Reading:

    return Reading(typed, "V")


def test_an_independent_witness_cites_an_instrument_and_is_judged_with_its_accuracy(
    job: Any,
) -> None:
    told = job({**PACK, "hold": "witness", "witness": {"independent": True, "within": "0.3[V]"}})
    read(told, "58.50", None)
    tell(told, witness(told, "58.50", GOOD))
    body = told.entries[-1].body
    assert body["parts"][""]["value"]["instrument"]["id"] == "dmm-1"
    assert body["judged"]["checks"][0]["accuracy"]["stated_by"] == "register"
    # 1 % of 58.5 V reaches past 58.8 V; the 0.1 % that the procedure asks for does not.
    assert body["verdict"] == "marginal"
    assert told.state.steps["pack"].answer.verdict == "pass"
    assert told.state.steps["pack"].status is Status.PASSED


def test_a_witness_too_needs_leave_to_read_with_an_overdue_one(job: Any) -> None:
    told = job({**PACK, "hold": "witness", "witness": {"independent": True, "within": "0.3[V]"}})
    read(told, "50.00", GOOD)
    with pytest.raises(InstrumentError, match="was due for calibration"):
        witness(told, "50.00", LATE)
    forged = dict(witness(told, "50.00", GOOD).body)
    forged["parts"] = {"": {"value": {
        "typed": "50.00", "unit": "V", "instrument": LATE.cited(volts("50.00")),
    }}}  # fmt: skip
    with pytest.raises(IllegalEntryError, match="without leave"):
        told.tell("hold_confirmed", "pack", forged, by="Ben", attempt=1)
    leave = {"scope": "this bike", "expiry": "2031-05-06", "reason": "the other is away"}
    tell(told, moves.concede_instrument(told.state, LATE, "Cleo", **leave, now=told.now()))
    tell(told, witness(told, "50.00", LATE))
    assert told.state.steps["pack"].status is Status.PASSED


def witness(told: Any, typed: str, instrument: Citable) -> Draft:
    return moves.confirm_hold(
        told.state, "pack", "Ben", now=told.now(), given={"value": typed}, instrument=instrument
    )
