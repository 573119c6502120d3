"""Killed at any moment, a job has lost nothing that was confirmed, and goes on where it stood."""

from __future__ import annotations

import os
import random
import select
import signal
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

from commission.job import moves
from commission.procedure import load
from commission.record.bench import Bench
from commission.record.chain import verify
from commission.record.line import digest_of, parse
from commission.record.verifying import examine_stream

if TYPE_CHECKING:
    from pathlib import Path

    from commission.job.ask import Ask
    from commission.job.state import JobState
    from commission.procedure.load import Loaded
    from commission.record.session import Session

KILLS = 200
LATEST_S = 0.03
"""A kill falls within this after the job was taken up: about the first ten writes."""
ONE_OF_EACH = """
      - {{id: volts_{0}, kind: measure, title: Measure voltage {0}, unit: V}}
      - id: runs_{0}
        kind: series
        title: Repeat the detection run {0}
        runs: 3
        columns: [{{id: offset, label: Offset, unit: deg, circular: true}}]
      - {{id: cover_{0}, kind: confirm, title: Close cover {0}}}
"""
PROCEDURE = """
procedure: crash
revision: 1
title: Many small steps
purpose: To be interrupted.
settings: [{id: limit, label: Speed limit, type: quantity, unit: km/h, intended: "45[km/h]"}]
stages:
  - id: only
    title: Only stage
    steps:
      - {id: as_found, kind: read_back, title: Read the settings, settings: all}
      - {id: set_limit, kind: write, title: Set the speed limit, settings: [limit]}
""" + "".join(ONE_OF_EACH.format(number) for number in range(8))


@dataclass(frozen=True)
class Confirmed:
    """What the killed process had told its reader: the job, the entry and the open step."""

    job: str
    seq: int
    digest: str
    step: str


def open_step(state: JobState) -> str:
    steps = state.plan.steps
    return steps[state.frontier].step.id if state.frontier < len(steps) else "-"


def answer(ask: Ask) -> str:
    return {"quantity": "45.0", "done": "done"}.get(ask.type, "x")


def work_on(session: Session, pipe: int) -> None:
    """Answer step after step, telling each confirmation, until all are done."""
    while open_step(session.state) != "-":
        state, step = session.state, open_step(session.state)
        asking = moves.asking(state, step, session.now())
        given = {ask.name: answer(ask) for ask in asking.asks if not ask.optional}
        state = session.record(moves.submit(state, step, given, "Ada", session.now()))
        told = f"{session.job} {state.seq} {session.head} {open_step(state)}\n"
        os.write(pipe, told.encode())


def be_the_job(path: Path, loaded: Loaded, job: str | None, pipe: int) -> None:
    bench = Bench.open(path, "bench-1")
    while True:
        if job is None:
            session = bench.start(loaded, {"frame": "F1"}, {"Ada": ("technician",)}, "Ada")
        else:
            session = bench.resume(job)
        os.write(pipe, f"{session.job} 0 - {open_step(session.state)}\n".encode())
        work_on(session, pipe)
        session.close()
        job = None


def run_and_kill(path: Path, loaded: Loaded, job: str | None, after_s: float) -> list[Confirmed]:
    """Let a forked process work and kill it; return what it had confirmed, and if it crashed."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reader)
            be_the_job(path, loaded, job, writer)
        finally:
            os._exit(99)
    os.close(writer)
    said = os.read(reader, 1000)  # it has opened its job
    select.select([], [], [], after_s)
    os.kill(child, signal.SIGKILL)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    while more := os.read(reader, 1 << 16):
        said += more
    os.close(reader)
    assert status == -signal.SIGKILL, "the job ended by itself"
    return [
        Confirmed(words[0], int(words[1]), words[2], words[3])
        for words in (line.split() for line in said.decode().splitlines())
    ]


def check(bench: Bench, confirmed: list[Confirmed]) -> JobState:
    """Check every job of which the killed process had spoken; return the state of the last."""
    for job in {each.job for each in confirmed}:
        lines = list(bench.lines(job))
        verify(lines, stream=job)
        mine = [each for each in confirmed if each.job == job]
        for each in mine:
            if each.seq:
                assert digest_of(lines[each.seq - 1]) == each.digest
        examined = examine_stream(bench.store, job)
        assert examined.is_whole, examined.fault
    last = confirmed[-1]
    with bench.resume(last.job) as session:
        state = session.state
        # What came after the last confirmation is at most the one write that was under way: a
        # piece of an answer and, where it was the last piece, the conclusion.
        unheard = [parse(line) for line in bench.lines(last.job)][last.seq :] if last.seq else []
        assert len(unheard) <= 2
        if last.seq and not unheard:
            assert open_step(state) == last.step
        if unheard:
            assert {entry.step for entry in unheard} == {last.step}
        return state


@pytest.fixture(scope="module")
def loaded() -> Loaded:
    made = load.loads(PROCEDURE)
    assert made.procedure is not None, made.problems
    return made


def test_every_confirmed_entry_survives_two_hundred_kills(tmp_path: Path, loaded: Loaded) -> None:
    path = tmp_path / "bench.db"
    chance = random.Random(20260301)
    job: str | None = None
    confirmations = interrupted = 0
    for _ in range(KILLS):
        confirmed = run_and_kill(path, loaded, job, chance.uniform(0, LATEST_S))
        # Opened after the fork, closed before the next: SQLite connections do not cross a fork.
        with Bench.open(path, "bench-1") as bench:
            state = check(bench, confirmed)
        job = confirmed[-1].job if open_step(state) != "-" else None
        confirmations += sum(each.seq > 0 for each in confirmed)
        interrupted += job is not None
    # The kills fell into work, not before it or after it.
    assert confirmations > KILLS
    assert interrupted > KILLS / 2


def test_job_killed_while_it_is_opened_is_there_or_not(tmp_path: Path, loaded: Loaded) -> None:
    """The opening entry too is all or nothing: kills before the first word."""
    path = tmp_path / "bench.db"
    Bench.open(path).close()
    chance = random.Random(7)
    for _ in range(20):
        child = os.fork()
        if child == 0:
            try:
                with Bench.open(path, "bench-1") as bench:
                    while True:
                        bench.start(loaded, {"frame": "F"}, {"A": ("technician",)}, "A").close()
            finally:
                os._exit(99)
        select.select([], [], [], chance.uniform(0.002, 0.04))
        os.kill(child, signal.SIGKILL)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
    with Bench.open(path) as bench:
        jobs = bench.jobs()
        assert jobs
        for line in jobs:
            assert examine_stream(bench.store, line.job).is_whole
            bench.resume(line.job).close()
        assert {line.job for line in jobs} == set(bench.store.streams())
