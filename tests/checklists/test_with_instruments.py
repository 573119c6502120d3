"""The main checklist with every kind of instrument registered: each of its readings cites one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job import moves
from commission.job.accuracy import parse_ranges
from commission.job.instrument import CITED, Citable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    import pytest

RANGES = parse_ranges(
    "6 V: 0.5 % + 2 counts of 0.001; 60 V: 0.5 % + 2 counts of 0.01; 600 V: 1 % + 2 counts of 0.1;"
    "200 Nm: 4 %; -20 to 60 degC: 5 counts of 0.1; 10 m: 1 count of 0.001; 1 Ω: 1 % + 3 counts;"
    "10 GΩ: 3 % + 5 counts"
)


def readings(walk: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    for name, stands in walk.state.steps.items():
        if stands.answer is None:
            continue
        for piece in stands.answer.parts.values():
            for given in piece.values():
                if isinstance(given, dict) and CITED in given:
                    yield name, given


def test_each_piece_of_equipment_says_what_becomes_of_it_when_it_is_overdue(exchange: Any) -> None:
    assert {one.overdue for one in exchange.equipment} == {"stop", "concession", "warn"}
    protecting = {one.id for one in exchange.equipment if one.overdue == "stop"}
    assert protecting == {"multimeter", "insulation_tester"}


def test_the_whole_job_is_done_with_cited_instruments(
    monkeypatch: pytest.MonkeyPatch, walk: Callable[[], Any]
) -> None:
    submit = moves.submit

    def citing(state: Any, step: str, given: Any, by: str, now: Any) -> Any:
        kind = moves.asking(state, step, now).instrument
        one = Citable(f"{kind}-1", kind, kind, "1", RANGES, "2099-12-31") if kind else None
        return submit(state, step, given, by, now, one)

    monkeypatch.setattr(moves, "submit", citing)
    job = walk().until()
    assert job.state.outcome == "released"
    cited = list(readings(job))
    read = {
        one.id for one in job.state.plan.steps
        if one.step.instrument is not None and job.state.steps[one.id].answer is not None
        and one.kind in {"measure", "series"}
    }  # fmt: skip
    assert len(read) > 20
    assert read <= {name for name, _ in cited}
    assert {given[CITED]["state"] for _, given in cited} == {"good"}
    without_range = {name for name, given in cited if given[CITED]["range"] is None}
    assert not without_range
