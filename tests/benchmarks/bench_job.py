"""How fast a record's lines become the state of a job, against reading the same lines as JSON.

One job of some 300 entries, of the kinds and sizes that a real one has, is replayed again and
again: each time from its lines, as when a job is opened.
"""

from __future__ import annotations

import json
import time
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final

from commission.job.advance import begin, replay
from commission.job.entry import GENESIS, Clock, Entry
from commission.job.plan import Plan, plan
from commission.procedure.model import Procedure
from commission.record.line import digest_of, parse, to_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ENTRIES: Final = 100_000
_START: Final = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)
_NAMES: Final = tuple(f"setting_{number}" for number in range(24))
_CAUTION: Final = {
    "signal": "WARNING", "hazard": "Live parts", "consequence": "shock", "avoidance": "Isolate.",
}  # fmt: skip


def bench_replay() -> dict[str, Any]:
    """Replay 100,000 entries from their lines; the floor is `json.loads` of the same lines."""
    job, lines = _recorded()
    rounds = max(1, ENTRIES // len(lines))
    entries = rounds * len(lines)

    def read_and_fold() -> None:
        for _ in range(rounds):
            replay(job, map(parse, lines))

    def read() -> None:
        for _ in range(rounds):
            for line in lines:
                json.loads(line)

    measured, floor = entries / _seconds(read_and_fold), entries / _seconds(read)
    return {
        "name": "replay entries from their lines",
        "measured": round(measured),
        "floor": round(floor),
        "unit": "entries/s",
        "ratio": round(floor / measured, 2),
        "aim": 100_000,
    }


def _seconds(work: Callable[[], None], times: int = 3) -> float:
    """Return the shortest of some runs: what the machine can do when nothing else runs."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def _procedure() -> Procedure:
    steps: list[dict[str, Any]] = [
        {"kind": "read_back", "id": "found", "title": "Read the settings", "settings": "all"},
        {"kind": "write", "id": "set", "title": "Write the settings", "settings": list(_NAMES)},
    ]
    for number in range(40):
        steps.append({
            "kind": "measure", "id": f"pack_{number}", "title": "Measure the pack", "unit": "V",
            "caution": _CAUTION, "limits": {"min": "series * 3.0[V]", "max": "series * 4.2[V]"},
        })  # fmt: skip
        steps.append({"kind": "confirm", "id": f"done_{number}", "title": "Tighten the bolts"})
    for number in range(3):
        columns = [{"id": "offset", "label": "Offset", "unit": "deg", "circular": True}]
        steps.append({
            "kind": "series", "id": f"runs_{number}", "title": "Run the detection",
            "runs": 20, "columns": columns,
        })  # fmt: skip
    steps.append({
        "kind": "power_cycle", "id": "prove", "title": "Switch off and on", "cycle": "key",
        "cycles": 3, "off_for": "10[s]",
    })  # fmt: skip
    return Procedure.model_validate({
        "procedure": "benchmark", "revision": 1, "title": "Benchmark", "purpose": "To be timed.",
        "facts": [{"id": "series", "label": "Cells", "type": "integer"}],
        "settings": [
            {"id": name, "label": name, "type": "quantity", "unit": "A"} for name in _NAMES
        ],
        "stages": [{"id": "all", "title": "All", "steps": steps}],
    })  # fmt: skip


def _recorded() -> tuple[Plan, tuple[bytes, ...]]:
    """Return the plan and the chained lines of a job through the whole procedure."""
    job = plan(_procedure())
    lines: list[bytes] = []
    prev = GENESIS
    for seq, (kind, step, body) in enumerate(_told(job), 1):
        at = (_START + timedelta(seconds=15 * seq)).isoformat(timespec="microseconds")
        entry = Entry(
            "0d6a2f4c-8d53-4f0e-9a51-5f7a2c1e9b10", seq, at.replace("+00:00", "Z"),
            Clock("b3c1f0de-4a5b-4c6d-8e7f-901234567890", 15_000_000_000 * seq), "bench-1",
            "Ada Fern", kind, step, 1 if step else 0, body, prev,
        )  # fmt: skip
        lines.append(to_line(entry))
        prev = digest_of(lines[-1])
    if replay(job, map(parse, lines)).frontier != len(job.steps) or begin(job).seq:
        raise RuntimeError("the benchmark's job is not gone through")
    return job, tuple(lines)


def _told(job: Plan) -> Iterator[tuple[str, str | None, dict[str, Any]]]:
    own = job.procedure
    procedure = {"id": own.procedure, "revision": own.revision, "digest": GENESIS, "text": "{}"}
    yield "opened", None, {
        "job": "J-1", "bike": {"frame": "F-1"}, "procedure": procedure, "practice": False,
        "people": [{"name": "Ada Fern", "roles": ["technician"]}], "tool": "benchmark",
    }  # fmt: skip
    yield "answered", "series", _answer({"": {"value": _given("14", "")}})
    for planned in job.steps[1:]:
        name = planned.id
        match planned.step.kind:
            case "measure":
                yield "acknowledged", name, {}
                yield "answered", name, _answer({"": {"value": _given("52.31", "V")}})
            case "confirm":
                yield "answered", name, _answer({"": {"value": True}})
            case "series":
                for run in range(1, 21):
                    yield "part", name, _part(f"run-{run}", offset=_given("120.4", "deg"))
                yield "answered", name, _answer({})
            case "power_cycle":
                yield from _cycles(name)
                yield "answered", name, _answer({})
            case _:
                for piece in range(12):
                    cells = {one: _given("40.0", "A") for one in _NAMES[2 * piece : 2 * piece + 2]}
                    yield "part", name, _part(f"cells-{piece + 1}", **cells)
                yield "answered", name, _answer({})


def _cycles(name: str) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for cycle in (1, 2, 3):
        yield "part", name, _part(f"{cycle}:off", value=True)
        yield "part", name, _part(f"{cycle}:on", value=True)
        cells = {one: _given("40.0", "A") for one in _NAMES}
        yield "part", name, _part(f"{cycle}:read-1", **cells)


def _given(typed: str, unit: str) -> dict[str, str]:
    return {"typed": typed, "unit": unit}


def _part(part: str, **given: Any) -> dict[str, Any]:
    return {"part": part, "given": given}


def _answer(parts: dict[str, Any]) -> dict[str, Any]:
    check = {
        "check": "bounds", "of": "", "value": 52.31, "unit": "V", "low": 42.0, "high": 58.8,
        "target": None, "decision": "simple", "uncertainty": None, "accuracy": None,
    }  # fmt: skip
    return {
        "parts": parts, "verdict": "pass", "because": "52.31 V is good: 42.00 V to 58.80 V.",
        "judged": {"rule": 1, "checks": [check]},
    }  # fmt: skip


if __name__ == "__main__":
    pass
