"""Fault trials: one procedure against one fault after another, on virtual bikes of varied build.

`tasks` says what is tried, `attempt` tries one, `run_all` all of them, in several processes where
asked. Everything follows from the names of the faults and the seeds.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
import zlib
from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, ClassVar, Final

from commission.errors import CommissionError
from commission.practice.faults import apply
from commission.practice.judging import Verdict, judged

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from concurrent.futures import Future

    from commission.job.plan import Plan
    from commission.practice.build import Build
    from commission.practice.faults import Fault

HONEST: Final = "honest"
SOUND: Final = ""
"""The name of no fault."""
_APART: Final = 97
"""Between the seeds of one fault; the next bike is tried where a bike has not what it needs."""
_LOOKS: Final = 400
"""How many bikes are looked at for one that has what a fault needs."""
_AGAIN: Final = 6
"""How many bikes are tried where a fault shows nothing."""
_CHUNK: Final = 4


class NoBikeError(CommissionError):
    """No sound bike has what a fault needs."""


@dataclass(frozen=True, slots=True)
class Task:
    """One trial to be made."""

    fault: str
    """Its name; empty for a sound bike."""
    seed: int
    """Where the search for a bike begins."""
    pilot: str = HONEST


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial that was made."""

    fault: str
    seed: int
    """Of the bike that was tried, and of its noise."""
    pilot: str
    verdict: Verdict
    entries: int = 0
    cpu_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Kit:
    """What every trial of a procedure needs; made once in each process."""

    plan: Plan
    faults: Mapping[str, Fault]


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be tried."""

    text: str
    """The procedure, as its record embeds it."""
    faults: tuple[Fault, ...]
    tasks: tuple[Task, ...] = field(repr=False)


def tasks(
    faults: Sequence[Fault], seeds: int, sound: int, pilots: Sequence[str] = (HONEST,)
) -> tuple[Task, ...]:
    """Return the trials: each fault with each pilot, the honest one on `seeds` bikes.

    `sound` bikes without a fault are tried with the honest pilot; the careless ones try each fault
    on one bike.
    """
    made = [Task(SOUND, seed) for seed in range(1, sound + 1)]
    for pilot in pilots:
        for fault in faults:
            first = zlib.crc32(fault.id.encode()) % 10_000 + 1_000
            count = seeds if pilot == HONEST else 1
            made += [Task(fault.id, first + _APART * index, pilot) for index in range(count)]
    return tuple(made)


def attempt(kit: Kit, task: Task) -> Trial:
    """Return one trial; a fault that shows nothing on a bike is tried on others.

    Raises:
        NoBikeError: no sound bike has what the fault needs.
        ChangeError: the fault does not fit a bike although it has what the fault says it needs.
    """
    began = time.process_time()
    fault = kit.faults[task.fault] if task.fault else None
    trial = None
    for seed, sound in _bikes(fault, task.seed):
        trial = _tried(kit, task, fault, seed, sound)
        if trial.verdict.outcome != "no effect":
            break
    if trial is None:
        needs = ", ".join(fault.needs) if fault else ""
        raise NoBikeError(f"No sound bike has what {task.fault} needs: {needs}.")
    return Trial(
        trial.fault, trial.seed, trial.pilot, trial.verdict, trial.entries,
        time.process_time() - began,
    )  # fmt: skip


def _bikes(fault: Fault | None, first: int) -> Iterator[tuple[int, Build]]:
    """Yield sound bikes, with their seeds, that can have the fault."""
    from commission.practice.physics.varied import sound_build

    found = 0
    for seed in range(first, first + _LOOKS):
        build = sound_build(seed)
        if fault is None or fault.possible(build):
            yield seed, build
            found += 1
        if found >= _AGAIN:
            return


def _tried(kit: Kit, task: Task, fault: Fault | None, seed: int, sound: Build) -> Trial:
    from commission.practice.habits import ALL
    from commission.practice.run import arriving, perform

    habits = next(each for each in ALL if each.name == task.pilot)
    sound = arriving(kit.plan, sound)
    build = sound if fault is None else apply(sound, fault)
    done = perform(kit.plan, build, seed, habits)
    return Trial(task.fault, seed, task.pilot, judged(done, fault, sound), len(done.entries))


def kit_of(order: Order) -> Kit:
    """Return what the trials of an order need."""
    from commission.job.plan import from_record

    return Kit(from_record(order.text), {fault.id: fault for fault in order.faults})


def run_all(
    order: Order, jobs: int = 1, told: Callable[[int, int], None] = lambda _done, _total: None
) -> tuple[Trial, ...]:
    """Return every trial of an order, in its order; `told` hears how many are done.

    Raises:
        CommissionError: as `attempt`; nothing goes on in the background then.
    """
    if jobs <= 1 or len(order.tasks) <= _CHUNK:
        kit = kit_of(order)
        trials = []
        for task in order.tasks:
            trials.append(attempt(kit, task))
            told(len(trials), len(order.tasks))
        return tuple(trials)
    return _in_processes(order, jobs, told)


def _in_processes(order: Order, jobs: int, told: Callable[[int, int], None]) -> tuple[Trial, ...]:
    chunks = [order.tasks[start : start + _CHUNK] for start in range(0, len(order.tasks), _CHUNK)]
    done = 0
    pool = ProcessPoolExecutor(
        min(jobs, len(chunks)),
        multiprocessing.get_context("spawn"),
        _Worker.prepare,
        (Order(order.text, order.faults, ()),),
    )
    try:
        with _interrupts_ignored():
            running: dict[Future[tuple[Trial, ...]], int] = {
                pool.submit(_Worker.attempt, chunk): index for index, chunk in enumerate(chunks)
            }
        made: dict[int, tuple[Trial, ...]] = {}
        while running:
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                index = running.pop(future)
                made[index] = future.result()
                done += len(made[index])
                told(done, len(order.tasks))
    except BrokenProcessPool as error:
        raise CommissionError(
            "A process that made trials ended before its time.", "Try again with --jobs 1."
        ) from error
    finally:
        # After an interruption only the chunks that run are waited for: a fraction of a second.
        pool.shutdown(wait=True, cancel_futures=True)
    return tuple(trial for index in sorted(made) for trial in made[index])


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    """Let processes that are started inherit that Ctrl-C, which the whole group gets, is ignored.

    Only the main thread may set that; elsewhere (under a screen) no terminal sends the signal.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


class _Worker:
    """A process that tries; it keeps the plan and the faults of its order."""

    kit: ClassVar[Kit | None] = None

    @classmethod
    def prepare(cls, order: Order) -> None:
        """Make what every trial needs."""
        cls.kit = kit_of(order)

    @classmethod
    def attempt(cls, chunk: tuple[Task, ...]) -> tuple[Trial, ...]:
        """Return the trials of a chunk."""
        if cls.kit is None:
            raise RuntimeError("prepare comes first")
        return tuple(attempt(cls.kit, task) for task in chunk)


def cores() -> int:
    """Return how many processes this machine can run at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
