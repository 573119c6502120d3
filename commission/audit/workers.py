"""Jobs audited by several processes: one reads the store, the others check, in the jobs' order."""

from __future__ import annotations

import multiprocessing
from collections import deque
from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from typing import TYPE_CHECKING, Final

from commission.audit.collecting import seldom_collected
from commission.audit.run import How, Report, report_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from concurrent.futures import Future

    Job = tuple[Sequence[bytes] | str, str]

_BATCH: Final = 8
"""Jobs handed over at once."""
_AHEAD: Final = 3
"""Batches for each process that are read before they are needed: what bounds the memory."""
_how = How("")


def reports(jobs: Iterable[Job], how: How, workers: int) -> Iterator[Report]:
    """Yield the report of each job, in the order in which they are given.

    Args:
        jobs: lines, or why they cannot be read; and the job's name.
        how: how they are audited.
        workers: how many processes.
    """
    batches, waiting = _batched(iter(jobs)), deque["Future[list[Report]]"]()
    # Spawned, not forked: whoever calls may have threads and an open store.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, context, _begin, (how,)) as pool:
        for batch in batches:
            waiting.append(pool.submit(_audit, batch))
            if len(waiting) >= _AHEAD * workers:
                yield from waiting.popleft().result()
        while waiting:
            yield from waiting.popleft().result()


def _batched(jobs: Iterator[Job]) -> Iterator[list[Job]]:
    while batch := list(islice(jobs, _BATCH)):
        yield batch


def _begin(how: How) -> None:
    global _how  # noqa: PLW0603  one for each process, said once instead of with each batch
    _how = how


def _audit(batch: list[Job]) -> list[Report]:
    with seldom_collected():
        return [report_of(lines, stream, _how) for lines, stream in batch]
