"""The record's speed: each figure against a floor measured beside it in the same run."""

from __future__ import annotations

import hashlib
import sqlite3
import statistics
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from commission.job import moves
from commission.job.entry import GENESIS, Clock, Digest, Entry
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.chain import examine
from commission.record.clocks import to_text
from commission.record.line import digest_of, to_line

if TYPE_CHECKING:
    from collections.abc import Callable

APPENDS = 300
ENTRIES = 100_000
START_US = 1_772_000_000_000_000
PROCEDURE = """
procedure: fast
revision: 1
title: One step
purpose: To be measured.
stages:
  - id: only
    title: Only stage
    steps:
      - {id: pack, kind: measure, title: Measure the pack voltage, unit: V}
      - {id: cover, kind: confirm, title: Close the cover}
"""


def _best_s(act: Callable[[], object], times: int = 3) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        act()
        taken.append(time.perf_counter() - start)
    return min(taken)


def _result(
    name: str, measured: float, floor: float, unit: str, ratio: float, aim: float
) -> dict[str, Any]:
    return {
        "name": name, "measured": measured, "floor": floor, "unit": unit,
        "ratio": round(ratio, 2), "aim": aim,
    }  # fmt: skip


def _lines(count: int) -> list[bytes]:
    """A job of one opening and many remarks, in lines of about 400 bytes."""
    loaded = load.loads(PROCEDURE)
    opened = {
        "job": "20260301-BCDF", "bike": {"frame": "FR-1"}, "practice": False, "tool": "x",
        "people": [{"name": "Ada", "roles": ["technician"]}],
        "procedure": {
            "id": "fast", "revision": 1, "digest": loaded.digest, "text": loaded.text,
        },
    }  # fmt: skip
    remark = {"grade": "", "text": "Cable gland re-tightened; no play felt at the torque arm. " * 2}
    lines: list[bytes] = []
    prev: Digest = GENESIS
    for seq in range(1, count + 1):
        entry = Entry(
            "20260301-BCDF", seq, to_text(START_US + seq * 15_000_000),
            Clock("3f0c1c1e-8f5a-4a55-9d55-3f0e6d2b7a10", 10**13 + seq * 15 * 10**9), "bench-1",
            "Ada", "opened" if seq == 1 else "noted", None, 0, opened if seq == 1 else remark, prev,
        )  # fmt: skip
        lines.append(to_line(entry))
        prev = digest_of(lines[-1])
    return lines


def bench_append_against_bare_insert() -> dict[str, Any]:
    """One recorded entry, judged, folded and projected, against a bare SQLite insert and commit.

    Taken in turns in one folder, so that both meet the same disk.
    """
    with tempfile.TemporaryDirectory() as folder:
        bare = sqlite3.connect(Path(folder) / "bare.db", isolation_level=None)
        bare.execute("PRAGMA journal_mode=WAL")
        bare.execute("PRAGMA synchronous=FULL")
        bare.execute("CREATE TABLE entry (seq INTEGER PRIMARY KEY, line BLOB)")
        line = b"x" * 400
        ours, floor = [], []
        people = {"Ada": ("technician",)}
        with (
            Bench.open(Path(folder) / "bench.db") as bench,
            bench.start(load.loads(PROCEDURE), {"frame": "F"}, people, "Ada") as session,
        ):
            for number in range(APPENDS):
                start = time.perf_counter()
                bare.execute("BEGIN IMMEDIATE")
                bare.execute("INSERT INTO entry VALUES (?, ?)", (number, line))
                bare.execute("COMMIT")
                floor.append(time.perf_counter() - start)
                draft = moves.note(session.state, "Cable gland re-tightened", "", "Ada")
                start = time.perf_counter()
                session.record([draft])
                ours.append(time.perf_counter() - start)
        bare.close()
    measured, bottom = statistics.median(ours) * 1e3, statistics.median(floor) * 1e3
    return _result("append", measured, bottom, "ms", measured / bottom, 2)


def bench_verify_against_hashing() -> dict[str, Any]:
    """Verifying the chain of 100,000 entries against only hashing the same lines."""
    lines = _lines(ENTRIES)

    def hash_all() -> None:
        for line in lines:
            hashlib.sha256(line).hexdigest()

    if not examine(lines).is_whole:
        raise RuntimeError("The stream to measure by is not whole.")
    floor, measured = _best_s(hash_all), _best_s(lambda: examine(lines))
    return _result("verify 100,000", measured, floor, "s", measured / floor, 4)
