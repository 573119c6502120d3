"""An audit being made: jobs checked beside the screens, then kept, all of it or nothing.

It belongs to the app and not to a screen. Whoever leaves before every job was looked at gets
nothing recorded; from then on the record is written to its end whatever the screens do.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from commission.audit.book import AuditBook, Begun
from commission.audit.choose import population
from commission.audit.run import run
from commission.audit.sampling import draw, plan, seed_of
from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.audit.choose import Selection
    from commission.audit.finding import Finding
    from commission.audit.run import Audited
    from commission.audit.state import AuditState
    from commission.record.bench import Bench


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be audited."""

    purpose: str
    auditor: str
    selection: Selection
    sample: str
    """The plan as it is written; empty for all."""
    expected: tuple[str, ...]
    """Jobs drawn when it was asked for."""
    digest: str
    """The population's, then."""


class LeftError(Exception):
    """Nobody waits for it any more; nothing was recorded."""


class Checking:
    """One run. `go` is called in a thread; `leave` from anywhere."""

    def __init__(self, bench: Bench, order: Order) -> None:
        self.order = order
        self._bench = bench
        self._left = threading.Event()
        self.is_looked_at = False
        """Whether all jobs were looked at: what is left to do is to record it."""

    def leave(self) -> None:
        """Let nothing be recorded, where not all was looked at yet."""
        self._left.set()

    def go(
        self, told: Callable[[int], None], is_cancelled: Callable[[], bool],
        found_more: Callable[[Sequence[Finding]], None] = lambda _: None,
    ) -> AuditState:  # fmt: skip
        """Check the jobs and keep the audit; return it.

        Args:
            told: how many jobs are done, after each.
            is_cancelled: whether the app wants to end.
            found_more: what a job added to the findings, before it is told as done.

        Raises:
            LeftError: it was left; nothing was recorded.
            RefusedError: the bench's jobs are others than when it was asked for.
            StoreError: it could not be read or written; nothing was recorded.
        """
        order, book = self.order, AuditBook(self._bench)
        name = book.auditor(order.auditor)[0]
        chosen = population(self._bench.store, order.selection)
        ids = [line.job for line in chosen.lines]
        made = plan(order.sample, len(ids)) if order.sample else None
        drawn = tuple(ids) if made is None else draw(ids, chosen.digest, made)
        if (drawn, chosen.digest) != (order.expected, order.digest):
            raise RefusedError("The jobs have changed since they were chosen.", "Look once more.")

        def progress(done: int) -> None:
            if self._left.is_set() or is_cancelled():
                raise LeftError
            told(done)

        seen = 0

        def so_far(audited: Audited) -> None:
            nonlocal seen
            if len(audited.findings) > seen:
                found_more(audited.findings[seen:])
                seen = len(audited.findings)

        at = self._bench.clocks.now().at
        found = run(self._bench.store, drawn, at, progress=progress, so_far=so_far)
        self.is_looked_at = True
        jobs = [{"job": one.job, "entries": one.entries, "head": one.head} for one in found.looked]
        sample = None if made is None else {
            "plan": made.text, "size": made.size, "accept": made.accept, "says": made.says,
            "seed": seed_of(chosen.digest, made),
        }  # fmt: skip
        begun = Begun(
            order.purpose, order.selection.to_json(),
            {"jobs": len(ids), "digest": chosen.digest}, sample, jobs, quick=False,
            took_part=_took_part(found, name),
        )  # fmt: skip
        return book.begin(begun, found.findings, order.auditor)


def _took_part(found: Audited, name: str) -> Sequence[str]:
    return [one.job for one in found.looked if name in one.people]
