"""From a stream's lines to its entries and what they add up to, or to the first that cannot be.

`chain` says that no line was changed. This says that the lines mean something, for each in order:
1. It has exactly an entry's keys, in order and with an entry's types; no key stands twice anywhere.
2. Its clocks agree about the time since the line before, or it says that they jumped.
3. Where the stream is a job's or the register: the entry may follow those before it
   (`job.advance`, `register.fold`).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from commission.errors import CommissionError, DamagedError
from commission.record.chain import Fault, Reason, examine
from commission.record.clocks import JUMP_S, jump_between, to_us
from commission.record.contents import entries_of, without_repeats
from commission.record.line import entry_of, is_written_just_so, parse, parser
from commission.record.register_book import STREAM

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

    from commission.job.entry import Digest, Entry
    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.job.working import Working
    from commission.record.chain import Examined, LaidOut
    from commission.register.state import Register

    Watch = Callable[[Sequence[Entry]], Callable[[Working, Entry], None]]

_MALFORMED = (KeyError, TypeError, AttributeError, ValueError, IndexError)
"""What a fold may raise over a body of another shape than `job.entry` says."""


@dataclass(frozen=True, slots=True)
class Read:
    """What a stream's lines say."""

    entries: tuple[Entry, ...]
    """Up to the fault."""
    gaps: tuple[float, ...] = ()
    """Seconds since the entry before, for each of them; see `gaps_of`."""
    state: JobState | None = None
    """Of a whole job; None where the stream is no job's, or not whole."""
    register: Register | None = None
    """Of a whole register; None where the stream is none, or not whole."""
    fault: Fault | None = None


def read(lines: Iterable[bytes]) -> Read:
    """Return a stream's entries and what they add up to, where that is known; or the fault."""
    lines = tuple(lines)
    return _read(lines, map(parser(), lines))


def examine_and_read(
    lines: Sequence[bytes],
    *,
    stream: str | None = None,
    head: Digest | None = None,
    watch: Watch | None = None,
) -> tuple[Examined, Read]:
    """Return what `chain.examine` and `read` say of a stream's lines, which are parsed once.

    Where the chain has a fault, nothing is read. `watch` gets a job's entries and returns what its
    fold shows each of them.
    """
    regular = _regular(lines, stream, head, watch)
    if regular is not None:
        return regular
    said: list[Any] = []
    load, keep = parser(), said.append
    examined = examine(lines, stream=stream, head=head, look=lambda line: keep(load(line)))
    fault = examined.fault
    return examined, Read(()) if fault is not None else _read(lines, iter(said), watch)


def _regular(
    lines: Sequence[bytes], stream: str | None, head: Digest | None, watch: Watch | None
) -> tuple[Examined, Read] | None:
    """Return the same of a whole job, quickly; None of anything else: it is read again closely."""
    layouts: list[LaidOut] = []
    try:
        examined = examine(lines, stream=stream, head=head, laid_out=layouts.append)
        if examined.fault is not None:
            return None
        entries = entries_of(lines, layouts, examined.stream)
        gaps, fault = gaps_of(entries)
        if fault is not None or entries[0].kind != "opened" or examined.stream == STREAM:
            return None
        return examined, Read(tuple(entries), gaps, fold(entries, watch))
    except (DamagedError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _read(lines: Sequence[bytes], said: Iterator[Any], watch: Watch | None = None) -> Read:
    entries: list[Entry] = []
    fault = None
    try:
        for line in lines:
            members = next(said)
            entry = entry_of(members)
            if not is_written_just_so(line, members):
                json.loads(line, object_pairs_hook=without_repeats)
            entries.append(entry)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        fault = Fault(len(entries) + 1, Reason.KEYS, _wrong_in(lines[len(entries)]))
    gaps, clock_fault = gaps_of(entries)
    fault = clock_fault or fault
    if fault is not None:
        return Read(tuple(entries[: fault.seq - 1]), gaps[: fault.seq - 1], fault=fault)
    if entries and entries[0].stream == STREAM:
        return _read_register(entries, gaps)
    if not entries or entries[0].kind != "opened":
        return Read(tuple(entries), gaps)
    try:
        return Read(tuple(entries), gaps, fold(entries, watch))
    except DamagedError:
        return Read(tuple(entries), gaps, fault=_illegal(entries))


def gaps_of(entries: Iterable[Entry]) -> tuple[tuple[float, ...], Fault | None]:
    """Return the seconds before each entry, and the first fault of their clocks, if there is one.

    Within one start of the machine the seconds are those of its own clock; of the first entry 0.
    They end before an entry whose moment cannot be read.
    """
    gaps: list[float] = []
    fault, before, at_before = None, None, 0
    for number, entry in enumerate(entries, 1):
        try:
            at = to_us(entry.at)
        except ValueError as error:
            return tuple(gaps), fault or Fault(number, Reason.KEYS, str(error))
        gap, clock = 0.0, entry.clock
        if before is not None:
            wall, same = (at - at_before) / 1e6, clock.boot == before.clock.boot
            gap = (clock.ns - before.clock.ns) / 1e9 if same else wall
            if (wall < 0 or abs(wall - gap) > JUMP_S) and entry.kind != "clock_jump":
                fault = fault or Fault(number, Reason.CLOCK, _jump_text(before, entry))
        gaps.append(gap)
        before, at_before = entry, at
    return tuple(gaps), fault


def fold(entries: Sequence[Entry], watch: Watch | None = None) -> JobState:
    """Return the state that a job's entries add up to; `watch` as in `examine_and_read`.

    Raises:
        DamagedError: they do not begin with the opening of a job, or no legal job has them.
    """
    from commission.job.advance import replay

    plan = plan_of(entries)
    try:
        return replay(plan, entries, None if watch is None else watch(entries))
    except (CommissionError, *_MALFORMED) as error:
        raise DamagedError(f"The record of {entries[0].stream} is not a legal job's.") from error


def plan_of(entries: Sequence[Entry]) -> Plan:
    """Return the plan of the procedure that a job's opening embeds.

    Raises:
        DamagedError: there is no opening, or its procedure cannot be read.
    """
    from commission.job.plan import from_record

    if not entries or entries[0].kind != "opened":
        raise DamagedError("The record does not begin with the opening of a job.")
    try:
        return from_record(entries[0].body["procedure"]["text"])
    except (CommissionError, *_MALFORMED) as error:
        raise DamagedError(
            f"The procedure embedded in {entries[0].stream} cannot be read: {error}."
        ) from error


def _read_register(entries: Sequence[Entry], gaps: tuple[float, ...]) -> Read:
    from commission.register.fold import advance
    from commission.register.state import Register

    register = Register()
    for entry in entries:
        try:
            register = advance(register, entry)
        except CommissionError as error:
            fault = Fault(entry.seq, Reason.NOT_A_REGISTER, error.message)
            return Read(tuple(entries), gaps, fault=fault)
    return Read(tuple(entries), gaps, register=register)


def _illegal(entries: Sequence[Entry]) -> Fault:
    """Return which entry no legal job has; slowly, for it is asked only where one is."""
    from commission.job.advance import advance, begin

    try:
        state = begin(plan_of(entries))
    except DamagedError as error:
        return Fault(1, Reason.PROCEDURE, error.message)
    for entry in entries:
        try:
            state = advance(state, entry)
        except CommissionError as error:
            return Fault(entry.seq, Reason.ILLEGAL, error.message)
        except _MALFORMED as error:
            return Fault(entry.seq, Reason.ILLEGAL, f"its content is malformed ({error!r})")
    return Fault(entries[-1].seq, Reason.ILLEGAL, "the entries add up to no job")


def _wrong_in(line: bytes) -> str:
    """Return in words why a line is no entry; slowly, for it is asked only where one is none."""
    try:
        json.loads(line, object_pairs_hook=without_repeats)
        parse(line)
    except (DamagedError, ValueError, RecursionError) as error:
        return str(error)
    return "the line is not an entry"


def _jump_text(before: Entry, entry: Entry) -> str:
    jump = jump_between(before.instant, entry.instant)
    if jump is None:
        return "the clocks do not agree"
    machine = "" if jump.monotonic_s is None else f" and {jump.monotonic_s:.1f} s by the machine's"
    return f"{jump.wall_s:.1f} s passed by the wall clock{machine}, and no clock_jump says so"
