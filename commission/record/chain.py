"""Whether a stream's lines are whole: pure verification over lines, nothing is stored or read.

For each line, in this order (the first that does not hold is the fault):
1. It is one JSON object in UTF-8; it begins with `stream`, `seq`, `at`, `clock` and ends with
   `prev`, laid out as `line.to_line` writes them.
2. `seq` counts from 1 without a gap.
3. `prev` is the SHA-256 of the line before; of the first one, 64 zeros.
4. `stream` is that of the first line (and the one asked for).
5. Neither clock goes backwards, unless the entry says that the clocks jumped.
6. The first line, where it opens a job: its procedure's digest is that of the text it embeds.
At the end: the last line's digest is the head, where one was given.

A changed line breaks the `prev` of the line after it. Which of the two was changed is told by the
line after those, or by the head; see `_changed_one`.

What this does not establish: that each line has an entry's keys and types and a legal job leads to
them (`reading` does), who wrote them (signatures do), or, without a head from elsewhere, that none
were cut off the end.
"""

from __future__ import annotations

import functools
import hashlib
import json
from dataclasses import dataclass
from itertools import chain as chained
from typing import TYPE_CHECKING, Any

from commission.errors import DamagedError
from commission.job.entry import GENESIS, Digest
from commission.record.line import digest_of
from commission.record.shape import (
    Fault,
    Reason,
    layout_fault,
    loaded,
    procedure_fault,
    shape_fault,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from commission.record.signatures import Signed

__all__ = ["Examined", "Fault", "LaidOut", "Reason", "examine", "verify"]
LaidOut = tuple[int, bytes, str, bytes, int, Any]
"""Of a line: its number, moment, boot, count of nanoseconds (as they stand), where its clock ends,
and the digest of the line before."""


@dataclass(frozen=True, slots=True)
class Examined:
    """What was found in a stream."""

    stream: str
    """Empty where not even the first line tells."""
    entries: int
    """How many are whole, counted from the first."""
    head: Digest
    """Digest of the last whole entry; `GENESIS` where there is none."""
    fault: Fault | None = None
    signed: Signed | None = None
    """Its signatures, where they were looked at and the stream is whole."""

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong; a stream without entries is not whole."""
        return self.fault is None


def verify(lines: Iterable[bytes], *, stream: str, head: Digest | None = None) -> Digest:
    """Return the head of a whole stream.

    Raises:
        DamagedError: it is not whole; names the first bad entry and why.
    """
    examined = examine(lines, stream=stream, head=head)
    if examined.fault is not None:
        raise DamagedError(f"The record of {stream} is not whole: {examined.fault}.")
    return examined.head


def examine(
    lines: Iterable[bytes],
    *,
    stream: str | None = None,
    head: Digest | None = None,
    look: Callable[[bytes], object] | None = None,
    laid_out: Callable[[LaidOut], object] | None = None,
) -> Examined:
    """Return what is whole in a stream's lines and the first fault, where there is one.

    Args:
        lines: in order, without newlines.
        stream: its name, where it is known beforehand.
        head: the digest that its last line must have, where it is known from elsewhere.
        look: given each line before it is judged; raises `ValueError` where one is not JSON. For
            whoever parses the lines anyway: parsing twice is what takes longest.
        laid_out: given how each line was found to be laid out. Then nothing here looks whether the
            lines are JSON: only where there is no fault, and what stands between clock and `prev`
            is some of the members of an object, they are.
    """
    walk = _Walk(iter(lines), stream, head, look if laid_out is None else _unseen)
    walk.laid_out = laid_out or _unseen
    fault = walk.to_the_end()
    if fault is None:
        fault = _end_fault(walk, head)
    return Examined(walk.stream or "", walk.whole, Digest(walk.digest), fault)


class _Walk:
    """One pass over the lines. The loop is written for speed: it sees every line of an archive."""

    def __init__(
        self,
        lines: Iterator[bytes],
        stream: str | None,
        head: Digest | None,
        look: Callable[[bytes], object] | None,
    ) -> None:
        self.lines = lines
        self.stream = stream
        self.whole = 0
        self.digest: str = GENESIS
        self.head_at = 0
        """The last entry that had the wanted head as its digest; 0 when none had."""
        self.laid_out: Callable[[LaidOut], object] = _unseen
        self._head = head
        self._look = _object_check() if look is None else look

    def to_the_end(self) -> Fault | None:
        first = next(self.lines, None)
        if first is None:
            return None
        if (fault := self._first_fault(first)) is not None:
            return fault
        look, sha256, wanted, clock = self._look, hashlib.sha256, self._head, _ClockCheck()
        laid_out = self.laid_out
        start = f'{{"stream":{json.dumps(self.stream, ensure_ascii=False)},"seq":'.encode()
        start = start.replace(b"%", b"%%") + b'%d,"at":"'
        last_at, last_ns, clock_start, width = b"", b"", b"", 0
        digest: str = GENESIS
        tail = b',"prev":"%b"}' % digest.encode()
        for number, line in enumerate(chained((first,), self.lines), 1):
            try:
                look(line)
            except ValueError:
                return shape_fault(number, line) or layout_fault(number)
            numbered = start % number
            if not (line.startswith(numbered) and line.endswith(tail)):
                return self._link_fault(number, line)
            clock_at = len(numbered) + 27
            ns_at = clock_at + len(clock_start)
            at, ns = line[clock_at - 27 : clock_at], line[ns_at : ns_at + width]
            # As texts of one length, moments and counts compare as what they stand for. Whatever
            # is not so simple (the first line, another machine, one digit more) is looked at.
            if (
                at >= last_at
                and ns >= last_ns
                and line[ns_at + width : ns_at + width + 1] == b"}"
                and line.startswith(clock_start, clock_at)
            ):
                last_at, last_ns, after = at, ns, ns_at + width + 1
            else:
                if (fault := clock.fault_of(number, line, last_at, last_ns)) is not None:
                    return fault
                last_at, last_ns, clock_start, width = clock.last
                after = clock.end_in(line, len(numbered))
            laid_out((number, last_at, clock.boot, last_ns, after, digest))
            digest = sha256(line).hexdigest()
            tail = b',"prev":"%b"}' % digest.encode()
            self.whole, self.digest = number, digest
            if digest == wanted:
                self.head_at = number
        return None

    def _first_fault(self, line: bytes) -> Fault | None:
        if (fault := shape_fault(1, line)) is not None:
            return fault
        members = loaded(line)
        if self.stream is not None and members["stream"] != self.stream:
            return Fault(1, Reason.STREAM, f"it is of {members['stream']!r}, not {self.stream!r}")
        self.stream = members["stream"]
        return procedure_fault(members)

    def _link_fault(self, number: int, line: bytes) -> Fault:
        if (fault := shape_fault(number, line)) is not None:
            return fault
        members = loaded(line)
        seq, stream = members["seq"], members["stream"]
        if seq != number:
            what = f"entry {number} is missing" if seq > number else f"it is numbered {seq}"
            return Fault(number, Reason.ORDER, f"{what}; {number} was expected here")
        if members["prev"] != self.digest:
            return self._changed_one(number, line)
        if stream != self.stream:
            return Fault(number, Reason.STREAM, f"it is of {stream!r}, not {self.stream!r}")
        return layout_fault(number)

    def _changed_one(self, number: int, line: bytes) -> Fault:
        """Return which of entry `number` and the one before it was changed.

        The entry after both tells, or the head: where it names the digest that `line` has now,
        `line` is as it was, so the one before is not. Where nothing comes after, the one before.
        """
        if number == 1:
            return Fault(1, Reason.CHAIN, "the first entry's prev is not 64 zeros")
        after = next(self.lines, None)
        told = self._head if after is None else after[-66:-2].decode("ascii", "replace")
        if told is not None and told != digest_of(line):
            return Fault(number, Reason.CHAIN, "it was changed: what follows does not fit it")
        self.whole -= 1
        either = "" if told is not None else f", or entry {number} was"
        return Fault(
            number - 1, Reason.CHAIN, f"it was changed: entry {number} does not fit it{either}"
        )


def _end_fault(walk: _Walk, head: Digest | None) -> Fault | None:
    if walk.whole == 0:
        return Fault(0, Reason.EMPTY, "there is no entry")
    if head is None or head == walk.digest:
        return None
    if walk.head_at:
        added = walk.whole - walk.head_at
        said = f"the head given is that of entry {walk.head_at}; {added} were added after it"
    else:
        said = f"its digest is {walk.digest}, the head given is {head}: changed, or cut off"
    return Fault(walk.whole, Reason.HEAD, said)


class _ClockCheck:
    """The clocks of a line, looked at closely where comparing texts does not settle it."""

    def __init__(self) -> None:
        self.last = (b"", b"", b"", 0)
        """`at`, `ns`, what stands between them where the clock is the same, the length of `ns`."""
        self.boot = ""

    def fault_of(self, number: int, line: bytes, at: bytes, ns: bytes) -> Fault | None:
        """Return what is wrong with a line's moment after `at` and `ns`, or take it as the last."""
        if (fault := shape_fault(number, line)) is not None:
            return fault
        members = loaded(line)
        clock, jumped = members["clock"], members["kind"] == "clock_jump"
        said, now, boot = "", members["at"].encode(), clock["boot"]
        if boot == self.boot and clock["ns"] < int(ns):
            said = f"the machine's clock went back from {int(ns)} ns to {clock['ns']} ns"
        elif now < at and not jumped:
            said = f"the wall clock went back from {at.decode()} to {members['at']}"
        if said:
            return Fault(number, Reason.CLOCK, f"{said}, and the entry is no clock_jump")
        shown = json.dumps(boot, ensure_ascii=False)
        between, ticks = f'","clock":{{"boot":{shown},"ns":'.encode(), b"%d" % clock["ns"]
        self.last, self.boot = (now, ticks, between, len(ticks)), boot
        return None

    def end_in(self, line: bytes, start: int) -> int:
        """Return where the last moment ends in its line; 0 where it is laid out otherwise."""
        at, ticks, between, _ = self.last
        regular = at + between + ticks + b"}"
        return start + len(regular) if line.startswith(regular, start) else 0


def _unseen(_: object) -> None:
    """Look at nothing."""


@functools.cache
def _object_check() -> Callable[[bytes], object]:
    """Return a function that raises `ValueError` where a line is no JSON object.

    The parser is pydantic's: a third of the time of `json`, as it builds nothing from the object.
    """
    from pydantic_core import SchemaValidator, core_schema

    an_object = core_schema.typed_dict_schema({}, extra_behavior="ignore")
    return SchemaValidator(an_object).validate_json
