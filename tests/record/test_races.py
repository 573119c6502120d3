"""Several processes at one store: one wins, the others are told, nothing is lost."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from commission.errors import BusyError
from commission.record.bench import Bench
from commission.record.chain import verify
from commission.record.sql import SqlStore

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.record.conftest import Work


def in_processes(count: int, act: Callable[[int], int]) -> list[int]:
    """Run `act(number)` in as many forked processes at once; return what each returned."""
    start, ready = os.pipe()
    children = []
    for number in range(count):
        child = os.fork()
        if child == 0:
            code = 255
            try:
                os.close(ready)
                os.read(start, 1)  # until the parent lets all go at once
                code = act(number)
            finally:
                os._exit(code)
        children.append(child)
    os.close(start)
    os.close(ready)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]


def test_each_number_is_won_by_one_process(tmp_path: Path) -> None:
    path = tmp_path / "some.db"
    SqlStore(path).close()

    def write_until_fifty(number: int) -> int:
        store, won = SqlStore(path), 0
        while True:
            last = store.last("s")
            seq = last[0] + 1 if last else 1
            if seq > 50:
                return won
            try:
                store.append("s", seq, [b"%d by %d" % (seq, number)], None)
                won += 1
            except BusyError:
                continue

    won = in_processes(3, write_until_fifty)
    store = SqlStore(path)
    lines = list(store.lines("s"))
    store.close()
    assert [int(line.split()[0]) for line in lines] == list(range(1, 51))
    assert [sum(line.endswith(b"by %d" % number) for line in lines) for number in range(3)] == won


def test_one_of_two_gets_the_job_and_the_other_loses_nothing(work: Work) -> None:
    with work.open() as bench, work.start(bench) as started:
        job = started.job
    first_held = work.open()
    session = first_held.resume(job)

    def try_to_work(number: int) -> int:
        del number
        with work.open() as bench:
            try:
                bench.resume(job)
            except BusyError as refusal:
                return 7 if str(os.getppid()) in refusal.message else 8
        return 0

    assert in_processes(2, try_to_work) == [7, 7]
    work.answer(session, {"value": "54.0"})
    assert verify(first_held.lines(job), stream=job) == session.head
    session.close()
    first_held.close()


def test_store_is_made_once_by_whoever_is_first(tmp_path: Path) -> None:
    path = tmp_path / "new" / "bench.db"

    def open_and_write(number: int) -> int:
        with Bench.open(path) as bench:
            bench.store.append(f"s{number}", 1, [b"x"], None)
        return 0

    assert in_processes(4, open_and_write) == [0, 0, 0, 0]
    with Bench.open(path) as bench:
        assert bench.store.streams() == ("s0", "s1", "s2", "s3")
