"""What a workshop knows beside one job: its instruments, like bikes, and this bike's last visit.

Nothing here is written. A face asks it once for a step, and not at every key: it reads the store.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.job.instrument import unregistered
from commission.job.like_bikes import Earlier, LikeBikes
from commission.record.standing import compared, controller_key, point_name

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.job.instrument import Citable
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.record.register_book import RegisterBook
    from commission.record.store import StandingRow, Store

_COMPARED: Final = frozenset({"measure", "series", "sweep", "calculate"})
_MOST: Final = 100
"""Like bikes compared with, the newest."""


@dataclass(frozen=True, slots=True)
class LastVisit:
    """The last job of this bike that ended."""

    job: str
    title: str
    at: str
    state: JobState


class Workshop:
    """A bench's knowledge, for the job of one stream. Threads may share it."""

    def __init__(
        self,
        store: Store,
        book: RegisterBook,
        bench: str,
        stream: str,
        look: Callable[[str], JobState],
    ) -> None:
        """Look at a store from a job; `look` gives another job's state."""
        self._store = store
        self._book = book
        self._bench = bench
        self._stream = stream
        self._look = look

    def instruments(self, kind: str, at: str) -> tuple[Citable, ...]:
        """Return the registered instruments of a kind as they stand at a moment.

        First the one last read with on this bench, at the end one that is in no register. None at
        all where none of that kind is registered.

        Raises:
            DamagedError: the register is not whole.
            StoreError: it cannot be read.
        """
        known = {one.id: one.citable(at) for one in self._book.register.instruments_of(kind)}
        if not known:
            return ()
        last = self._store.last_used(self._bench, tuple(known)) if len(known) > 1 else ""
        first = [known[last]] if last in known else []
        rest = [one for one in known.values() if one.id != last]
        return (*first, *rest, unregistered(kind))

    def like(self, state: JobState, planned: PlannedStep) -> Mapping[str, LikeBikes]:
        """Return what like bikes read at a step, by name of the reading; empty where nothing.

        Like is a bike of the same model or with the same kind of controller. Of each bike the
        newest reading counts; practice and what was corrected do not.

        Raises:
            StoreError: the store cannot be read.
        """
        from commission.record.store import LikeQuery

        opened = state.opened
        if opened is None or planned.kind not in _COMPARED:
            return {}
        query = LikeQuery(
            opened.procedure, planned.id, self._stream, compared(opened.bike.get("frame")),
            compared(opened.bike.get("model")), controller_key(opened.bike),
        )  # fmt: skip
        by_name: dict[str, list[StandingRow]] = {}
        for row in self._store.like(query):
            by_name.setdefault(row.name, []).append(row)
        round_names = {
            column.id for column in getattr(planned.step, "columns", ()) if column.circular
        }
        return {
            name: _of_bikes(rows, query.frame, circular=name in round_names)
            for name, rows in by_name.items()
        }

    def last_visit(self, state: JobState) -> LastVisit | None:
        """Return this bike's last job that ended, read whole; None where there is none.

        Raises:
            DamagedError: its record is not whole.
            StoreError: the store cannot be read.
        """
        opened = state.opened
        frame = "" if opened is None else compared(opened.bike.get("frame"))
        row = self._store.last_visit(frame, self._stream) if frame else None
        if row is None:
            return None
        return LastVisit(row.stream, row.title, row.at, self._look(row.stream))


def reading_name(kind: str, ask: str, part: str) -> str:
    """Return how the reading an ask takes is called among those that stand."""
    return point_name(part) if kind == "sweep" and ask == "y" else ask


def _of_bikes(rows: list[StandingRow], own: str, *, circular: bool) -> LikeBikes:
    """Return the newest value of each other bike; a bike without a number counts by its job."""
    others: dict[str, float] = {}
    earlier: Earlier | None = None
    for row in rows:
        if own and row.frame == own:
            earlier = earlier or Earlier(row.value, row.at, row.stream)
        else:
            others.setdefault(row.frame or row.stream, row.value)
    return LikeBikes(tuple(others.values())[:_MOST], circular, earlier)
