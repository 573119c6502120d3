"""Whether records are whole: of an exported file, of a job in a store, and the lists beside it."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from commission.errors import DamagedError, StoreError
from commission.job.entry import GENESIS, Digest
from commission.record.chain import Examined, Fault, Reason
from commission.record.line import digest_of
from commission.record.projections import change
from commission.record.reading import Read, examine_and_read, plan_of
from commission.record.register_book import STREAM
from commission.record.signatures import KnownRegister, count, first_fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from commission.record.store import Change, Store

_TRIES = 3


def examine_file(
    path: Path, head: Digest | None = None, known: KnownRegister | None = None
) -> Examined:
    """Return what is whole of an exported record and the first fault, where there is one.

    Signatures are held against the register `known`; without one, only against the keys they name.

    Raises:
        StoreError: the file cannot be read.
    """
    return _examined(list(lines_of(path)), None, head, known)[0]


def register_of(lines: Sequence[bytes], where: str) -> KnownRegister:
    """Return the register that lines hold.

    Raises:
        DamagedError: they are no whole register; `where` names it.
    """
    examined, found = _examined(lines, STREAM, None, None)
    if found.register is None:
        raise DamagedError(f"{where} is no whole register: {examined.fault}.")
    return KnownRegister(found.register, [digest_of(line) for line in lines])


def known_register(store: Store) -> KnownRegister | None:
    """Return the register of a store, or None where it has none.

    Raises:
        DamagedError: it is not whole.
        StoreError: the store cannot be read.
    """
    lines = list(store.lines(STREAM))
    return register_of(lines, "The register of the store") if lines else None


def lines_of(path: Path) -> Iterator[bytes]:
    """Yield the lines of an exported record, without their newlines.

    Raises:
        StoreError: the file cannot be read.
    """
    try:
        with path.open("rb") as file:
            for line in file:
                yield line.removesuffix(b"\n")
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}.") from error


def examine_stream(
    store: Store, stream: str, head: Digest | None = None, known: KnownRegister | None = None
) -> Examined:
    """Return what is whole of a stream in a store, its projections included.

    `known` is the store's register, to hold signatures against.

    Raises:
        StoreError: the store cannot be read.
    """
    try:
        kept, lines = _at_one_moment(store, stream)
    except DamagedError as error:
        return Examined(stream, 0, GENESIS, Fault(0, Reason.NOT_JSON, error.message))
    examined, found = _examined(lines, stream, head, known)
    if examined.fault is None and found.state is not None:
        differs = _difference(kept, change_of(found, examined.head))
        if differs:
            fault = Fault(0, Reason.PROJECTION, f"{differs}; `commission rebuild` mends it")
            return dataclasses.replace(examined, fault=fault)
    return examined


def change_of(found: Read, head: Digest) -> Change:
    """Return all projections of a job that was read whole; `head` is its last line's digest.

    Raises:
        DamagedError: it was not read whole, or is no job.
    """
    from commission.job.advance import begin

    if found.state is None:
        raise DamagedError(f"No job was read whole: {found.fault or 'another kind of record'}.")
    return change(begin(plan_of(found.entries)), found.state, found.entries, head)


def rebuild(store: Store) -> tuple[int, tuple[Examined, ...]]:
    """Make all projections again from the lines alone; return how many, and what is not whole.

    Of a job that is not whole the projections stay as they are: it does not vanish from lists.

    Raises:
        StoreError: it could not be written; the projections are as they were.
    """
    broken: list[Examined] = []

    def changes() -> Iterator[Change]:
        for stream in store.streams():
            examined, found = _examined(list(store.lines(stream)), stream, None, None)
            if examined.fault is not None:
                broken.append(examined)
                kept = store.change_of(stream)
                if kept is not None:
                    yield kept
            elif found.state is not None:
                yield change_of(found, examined.head)

    return store.rebuild(changes()), tuple(broken)


def _examined(
    lines: Sequence[bytes], stream: str | None, head: Digest | None, known: KnownRegister | None
) -> tuple[Examined, Read]:
    examined, found = examine_and_read(lines, stream=stream, head=head)
    if examined.fault is not None:
        return examined, found
    fault = found.fault or first_fault(lines, found.entries, known)
    if fault is not None:
        return dataclasses.replace(examined, fault=fault), Read(found.entries, fault=fault)
    signed = count(found.entries, against_register=known is not None)
    if found.register is not None:
        recoveries = found.register.recoveries
        signed = dataclasses.replace(signed, against_register=True, recoveries=recoveries)
    return dataclasses.replace(examined, signed=signed), found


def _at_one_moment(store: Store, stream: str) -> tuple[Change | None, list[bytes]]:
    """Return projections and lines that belong together, though somebody may be writing."""
    kept, lines = store.change_of(stream), list(store.lines(stream))
    for _ in range(_TRIES):
        if kept is None or kept.job.seq == len(lines):
            break
        kept, lines = store.change_of(stream), list(store.lines(stream))
    return kept, lines


def _difference(kept: Change | None, rebuilt: Change) -> str:
    """Return the first thing in which the kept projections are not what the lines say."""
    if kept is None:
        return "the list of jobs does not have it"
    for field in dataclasses.fields(rebuilt.job):
        is_kept, should_be = getattr(kept.job, field.name), getattr(rebuilt.job, field.name)
        if is_kept != should_be:
            return f"the list of jobs says {field.name} {is_kept!r}, the entries {should_be!r}"
    for what in ("readings", "settings", "standing"):
        if set(getattr(kept, what)) != set(getattr(rebuilt, what)):
            return f"the table of {what} is not what the entries say"
    return ""
