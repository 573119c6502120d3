"""Two stores brought level: each gets what the other has more, and a fork is told, never mended.

Streams only grow, and each line names the digest of the one before. So where the last line of the
shorter stream stands at the same number in the longer one, all before it is the same; where it does
not, the two have parted, and nobody but people can say which one is true.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from commission.errors import BusyError, DamagedError
from commission.record.reading import examine_and_read
from commission.record.verifying import change_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from contextlib import AbstractContextManager

    from commission.record.store import Store

    Hold = Callable[[str], AbstractContextManager[object]]
    """Keeps others from writing to a stream while lines are added; raises `BusyError`."""


class Fate(StrEnum):
    """What became of one stream."""

    LEVEL = "level"
    SENT = "sent"
    FETCHED = "fetched"
    PARTED = "parted"
    DAMAGED = "damaged"
    BUSY = "busy"


@dataclass(frozen=True, slots=True)
class Synced:
    """One stream after the two stores met."""

    stream: str
    fate: Fate
    entries: int = 0
    """How many were added to the store that had fewer."""
    told: str = ""
    """Why nothing was added, where something should have been."""


def sync(here: Store, there: Store, hold: Hold) -> Iterator[Synced]:
    """Bring two stores level, stream by stream; yield each stream's fate as it is done.

    A stream is checked whole before anything of it is added, and added whole or not at all. Doing
    it again changes nothing. `hold` is asked only for streams of the store `here`.

    Raises:
        StoreError: a store cannot be read or written; streams done before stay done.
    """
    for stream in sorted({*here.streams(), *there.streams()}):
        yield _sync(here, there, stream, hold)


def _sync(here: Store, there: Store, stream: str, hold: Hold) -> Synced:
    ours, theirs = here.last(stream), there.last(stream)
    if ours == theirs:
        return Synced(stream, Fate.LEVEL)
    is_longer = (ours or (0,))[0] >= (theirs or (0,))[0]
    try:
        if is_longer:
            return _add(here, there, stream, Fate.SENT)
        with hold(stream):
            return _add(there, here, stream, Fate.FETCHED)
    except BusyError as error:
        return Synced(stream, Fate.BUSY, told=error.diagnostics())
    except DamagedError as error:
        return Synced(stream, Fate.DAMAGED, told=error.diagnostics())


def _add(source: Store, target: Store, stream: str, fate: Fate) -> Synced:
    lines = list(source.lines(stream))
    last = target.last(stream)
    have = 0 if last is None else last[0]
    if last is not None and (have > len(lines) or lines[have - 1] != last[1]):
        return Synced(stream, Fate.PARTED, told=_where(lines, list(target.lines(stream))))
    examined, found = examine_and_read(lines, stream=stream)
    fault = examined.fault or found.fault
    if fault is not None:
        return Synced(stream, Fate.DAMAGED, told=str(fault))
    change = None if found.state is None else change_of(found, examined.head)
    if change is not None and have:
        # Rows of entries that are there already stay; those of new entries are added.
        fresh = tuple(row for row in change.readings if row.seq > have)
        change = dataclasses.replace(change, readings=fresh)
    target.append(stream, have + 1, lines[have:], change)
    return Synced(stream, fate, len(lines) - have)


def _where(longer: Sequence[bytes], shorter: Sequence[bytes]) -> str:
    pairs = zip(longer, shorter, strict=False)
    first = next((seq for seq, (one, other) in enumerate(pairs, 1) if one != other), 0)
    return (
        f"From entry {first} on the two stores tell different stories. Nothing was changed;"
        " export both and keep both."
    )
