"""A practice job kept in a store of its own, on the virtual bike's clock."""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from commission.practice.autopilot import Autopilot
from commission.practice.desk import CREW, TECHNICIAN
from commission.practice.habits import HONEST
from commission.practice.truths import truths
from commission.record.clocks import Clocks

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.state import JobState
    from commission.practice.autopilot import Ended, Failure
    from commission.practice.bike import Bike
    from commission.practice.habits import Habits
    from commission.practice.truths import Truth
    from commission.procedure.load import Loaded
    from commission.record.bench import Bench
    from commission.record.session import Session


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of a practice job that was recorded."""

    job: str
    head: str
    state: JobState
    ended: Ended
    failures: tuple[Failure, ...]
    truths: tuple[Truth, ...]


def clocks_of(bike: Bike) -> Clocks:
    """Return clocks that begin now and run as the bike's simulated time does."""
    start = time.time_ns() // 1000
    return Clocks(
        lambda: start + round(bike.now_s * 1e6), lambda: round(bike.now_s * 1e9), "practice"
    )


def practise(
    bench: Bench,
    loaded: Loaded,
    bike: Bike,
    *,
    habits: Habits = HONEST,
    opened: Callable[[str], None] | None = None,
    watch: Callable[[JobState, JobState], None] | None = None,
) -> Recorded:
    """Do a whole job on a bike by itself; every entry is durable and says that it is practice.

    `bench` has to be opened with `clocks_of(bike)`. `opened` is told the job's id.

    Raises:
        CommissionError: the procedure has errors, or the store cannot be written.
    """
    identity = bike.build.identity
    known = {"frame": identity.get("frame", "PRACTICE"), "model": "PRACTICE, virtual bike"}
    with bench.start(loaded, known, CREW, TECHNICIAN, practice=True) as session:
        if opened is not None:
            opened(session.job)
        robot = Autopilot(session, bike, habits, keeper(session), watch)
        ended = robot.work()
        return Recorded(
            session.job,
            session.head,
            session.state,
            ended,
            tuple(robot.failures),
            truths(bike.build, bike.controller),
        )


def keeper(session: Session) -> Callable[[str, str], Mapping[str, str | int]]:
    """Return what keeps a text with a job as a file, and returns the file's description."""

    def keep(name: str, content: str) -> Mapping[str, str | int]:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / name
            path.write_text(content, encoding="utf-8")
            return session.attach(path)

    return keep
