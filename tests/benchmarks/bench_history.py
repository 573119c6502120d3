"""Like bikes beside a reading: looked up among 10,000 jobs, and compared at each key."""

from __future__ import annotations

import random
import sqlite3
import statistics
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from commission.job.judge_limits import Shown
from commission.job.like_bikes import LikeBikes, place_words, words
from commission.record.bench import Bench
from commission.record.store import LikeQuery

if TYPE_CHECKING:
    from collections.abc import Callable

JOBS, READINGS, MODELS = 10_000, 40, 20


def _median_s(act: Callable[[], object], times: int = 21) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def _fill(path: Path) -> None:
    """Write the readings of many jobs as the store keeps them."""
    chance = random.Random(5)
    rows = (
        (
            f"job-{job}", f"step-{step}", "value", step + 2, 50 + chance.random(), "V", "pass",
            f"2031-01-01T{job:010}", "exchange", f"frame-{job}", f"model-{job % MODELS}",
            f"controller-{job % 7}", "bench", "multimeter-1",
        )
        for job in range(JOBS)
        for step in range(READINGS)
    )  # fmt: skip
    with sqlite3.connect(path) as plain:
        plain.executemany("INSERT INTO standing VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)", rows)
    plain.close()


def bench_like_bikes_are_found() -> dict[str, Any]:
    """One step's like bikes among 400,000 readings, against SQLite giving 400 rows by their key."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        with Bench.open(path):
            pass
        _fill(path)
        query = LikeQuery("exchange", "step-7", "own", "own", "model-3", "controller-3")
        with Bench.open(path) as bench:
            found = bench.store.like(query)
            assert len(found) > 200, len(found)
            measured = _median_s(lambda: bench.store.like(query))
        plain = sqlite3.connect(path)
        keys = [(row.stream, row.step, row.name) for row in found]
        one = "SELECT * FROM standing WHERE stream = ? AND step = ? AND name = ?"
        floor = _median_s(lambda: [plain.execute(one, key).fetchone() for key in keys])
        plain.close()
    return {
        "name": "like bikes of a step among 10,000 jobs", "measured": measured * 1e3,
        "floor": floor * 1e3, "unit": "ms", "ratio": round(measured / floor, 2), "aim": 10,
    }  # fmt: skip


def bench_a_key_is_compared_with_like_bikes() -> dict[str, Any]:
    """What each key costs beside a reading, against sorting the same numbers ten times."""
    chance = random.Random(6)
    like, shown = LikeBikes(tuple(50 + chance.random() for _ in range(100))), Shown("V")
    measured = _median_s(lambda: (words(like, shown), place_words(like, 57.0, shown)), 201)
    values = list(like.values)
    floor = _median_s(lambda: [sorted(values) for _ in range(10)], 201)
    return {
        "name": "a key beside 100 like bikes", "measured": measured * 1e3, "floor": floor * 1e3,
        "unit": "ms", "ratio": round(measured / floor, 2), "aim": 20,
    }  # fmt: skip
