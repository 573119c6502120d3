"""An audit's speed and memory: against reading and hashing the same bytes, in the same run.

One process is measured by the processor time it takes, several by the clock. Beside the floor
stands what `json.loads` alone takes for the same lines. Each job is on a bike of its own, and each
measurement begins with nothing kept of what was read or judged before it.

Last measured with 10,000 jobs (1,060,000 entries) on two processors that others used, too: one
process quick 18, thorough 37 times the floor, two processes 12 and 22; thorough took 51 before
each answer was judged in the one fold. The aim of 10 is not met: `json.loads` alone takes 4.

`python tests/benchmarks/bench_audit.py JOBS FOLDER` makes a store of so many jobs (10,000 are about
1,000,000 entries) in FOLDER, audits it in a process of its own and prints time and memory.
"""

from __future__ import annotations

import hashlib
import json
import os
import resource
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from commission.audit import repeated
from commission.audit.run import run
from commission.job.entry import GENESIS, Digest
from commission.job.plan import plan
from commission.practice.populations import HANDS, job
from commission.procedure import load
from commission.record import contents
from commission.record.line import digest_of, to_line
from commission.record.projections import job_line
from commission.record.sql import SqlStore
from commission.record.store import Change

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

AS_OF = "2031-01-01T00:00:00.000000Z"
SLUG = "pack-change"
"""Its jobs have about 100 entries."""
EACH = 250
"""Jobs of one person, one a day."""
JOBS = 300


def fill(store: SqlStore, jobs: int) -> Iterator[str]:
    """Put jobs into a store, each on a bike of its own, and yield their ids."""
    path = next(path for slug, _, path in load.shipped() if slug == SLUG)
    loaded = load.load(path)
    if loaded.procedure is None:
        raise RuntimeError(f"{SLUG} cannot be read.")
    planned = plan(loaded.procedure)
    own = {
        "id": loaded.procedure.procedure, "revision": loaded.procedure.revision,
        "digest": loaded.digest, "text": loaded.text,
    }  # fmt: skip
    for number in range(jobs):
        made = job(planned, HANDS[0], number // EACH, number % EACH)
        stream = f"20300107-{_letters(number)}"
        opening = {**made.entries[0].body, "procedure": own, "practice": False, "job": stream}
        entries = (replace(made.entries[0], body=opening), *made.entries[1:])
        lines: list[bytes] = []
        prev: Digest = GENESIS
        for entry in entries:
            lines.append(to_line(replace(entry, stream=stream, prev=prev)))
            prev = digest_of(lines[-1])
        opened = None if made.state.opened is None else replace(made.state.opened, job=stream)
        state = replace(made.state, opened=opened)
        store.append(stream, 1, lines, Change(job_line(state, entries[-1].by, prev)))
        yield stream


def _letters(number: int) -> str:
    letters = "BCDFGHJKLMNPQRSTVWXZ"
    return "".join(letters[number // 20**place % 20] for place in range(4))


def _read_and_hash(path: Path, clock: Callable[[], float] = time.process_time) -> tuple[float, int]:
    start, count = clock(), 0
    with closing(sqlite3.connect(path)) as connection:
        for (line,) in connection.execute("SELECT line FROM entry ORDER BY stream, seq"):
            hashlib.sha256(line).hexdigest()
            count += 1
    return clock() - start, count


def _json_alone(path: Path) -> float:
    taken = 0.0
    with closing(sqlite3.connect(path)) as connection:
        for (line,) in connection.execute("SELECT line FROM entry ORDER BY stream, seq"):
            start = time.process_time()
            json.loads(line)
            taken += time.process_time() - start
    return taken


def _measured(path: Path, names: list[str], *, quick: bool) -> float:
    """Return the processor time of one process that audits alone."""
    repeated.forget()
    contents.forget()
    start = time.process_time()
    _audit(path, names, quick=quick, workers=1)
    return time.process_time() - start


def _together(path: Path, names: list[str], *, quick: bool) -> float:
    """Return the time by the clock of as many processes as serve."""
    start = time.perf_counter()
    _audit(path, names, quick=quick, workers=None)
    return time.perf_counter() - start


def _audit(path: Path, names: list[str], *, quick: bool, workers: int | None) -> None:
    store = SqlStore(path, create=False)
    found = run(store, names, AS_OF, quick=quick, workers=workers)
    store.close()
    if not found.is_good:
        raise RuntimeError(f"The jobs to measure by have faults: {found.findings[0]}")


def _ratio(name: str, aim: float, *, quick: bool) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        store = SqlStore(path)
        names = list(fill(store, JOBS))
        store.close()
        taken, floors, parsed = [], [], []
        for _ in range(3):
            floors.append(_read_and_hash(path)[0])
            parsed.append(_json_alone(path))
            taken.append(_measured(path, names, quick=quick))
        measured, floor = min(taken), min(floors)
    return {
        "name": name, "measured": measured, "floor": floor, "unit": "s",
        "ratio": round(measured / floor, 2), "aim": aim,
        "json_loads_to_floor": round(min(parsed) / floor, 2),
    }  # fmt: skip


def bench_audit_quick_against_reading_and_hashing() -> dict[str, Any]:
    """Every check, verdicts and calculations again from their own numbers; in one process."""
    return _ratio(f"audit of {JOBS} jobs, quick", 10, quick=True)


def bench_audit_thorough_against_reading_and_hashing() -> dict[str, Any]:
    """Every check, verdicts from readings and procedure too; beyond the aim."""
    return _ratio(f"audit of {JOBS} jobs", 10, quick=False)


def main(jobs: int, folder: Path) -> None:
    """Make a large store, audit it, and print time and memory."""
    path = folder / f"audit-{jobs}.db"
    if not path.exists():
        store = SqlStore(path)
        for number, _ in enumerate(fill(store, jobs), 1):
            if number % 1000 == 0:
                print(f"{number} jobs made", file=sys.stderr, flush=True)  # noqa: T201
        store.close()
    with sqlite3.connect(path) as connection:
        names = [name for (name,) in connection.execute("SELECT job FROM job ORDER BY job")]
    _read_and_hash(path)  # so that each finds the file in memory
    floor, entries = _read_and_hash(path)
    floor_by_clock, _ = _read_and_hash(path, time.perf_counter)
    parsed = _json_alone(path)
    few = names[: len(names) // 10]
    _measured(path, few, quick=False)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    alone = {quick: _measured(path, names, quick=quick) for quick in (True, False)}
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    together = {quick: _together(path, names, quick=quick) for quick in (True, False)}
    workers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    figures: dict[str, float] = {
        "jobs": len(names), "entries": entries, "bytes": path.stat().st_size,
        "read_and_hash_s": round(floor, 2), "json_loads_s": round(parsed, 2),
        "json_loads_to_floor": round(parsed / floor, 2),
    }  # fmt: skip
    for quick, word in ((True, "quick"), (False, "thorough")):
        figures[f"{word}_one_process_s"] = round(alone[quick], 2)
        figures[f"{word}_one_process_to_floor"] = round(alone[quick] / floor, 2)
        figures[f"{word}_all_processes_s"] = round(together[quick], 2)
        figures[f"{word}_all_processes_to_floor"] = round(together[quick] / floor_by_clock, 2)
    figures |= {
        "processors": os.cpu_count() or 1, "memory_after_a_tenth_kib": before,
        "memory_after_all_kib": after, "memory_of_a_worker_kib": workers,
    }  # fmt: skip
    print(json.dumps(figures, indent=2))  # noqa: T201  the result


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))
    main(int(sys.argv[1]), Path(sys.argv[2]))
