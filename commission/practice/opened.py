"""A practice job that was opened for a person: the bike, its store, and the right to write."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.practice.desk import CREW, TECHNICIAN
from commission.practice.panel.world import World
from commission.record.bench import Bench
from commission.record.places import practice as practice_store

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.job.plan import Plan
    from commission.practice.preparing import Prepared
    from commission.procedure.load import Loaded
    from commission.record.session import Session

BIKE = "PRACTICE, virtual bike"


@dataclass(frozen=True, slots=True)
class Opened:
    """An open practice job; whoever has it closes the session, then the bench."""

    world: World
    bench: Bench
    session: Session


def open_job(
    loaded: Loaded,
    plan: Plan,
    prepared: Prepared,
    store: str | None = None,
    *,
    real_s: Callable[[], float] | None,
) -> Opened:
    """Open a job on a bike; every entry of it says that it is practice.

    Args:
        loaded: a checked procedure; `plan` is made of its text.
        plan: see `loaded`.
        prepared: the bike as it comes.
        store: path of the practice store; None is the usual one.
        real_s: see `World`.

    Raises:
        CommissionError: the store cannot be opened or written.
    """
    where = practice_store() if store is None else store
    folder = practice_store().with_name("practice.files")
    world = World(plan, prepared, folder, real_s=real_s)
    bench = Bench.open(where, clocks=world.clocks)
    frame = prepared.build.identity.get("frame", "PRACTICE")
    try:
        session = bench.start(
            loaded, {"frame": frame, "model": BIKE}, CREW, TECHNICIAN, practice=True
        )
    except BaseException:
        bench.close()
        raise
    return Opened(world, bench, session)
