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
from commission.record.chain import Fault, Reason
from commission.record.clocks import jump_between
from commission.record.line import parse
from commission.record.register_book import STREAM

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.job.entry import Entry
    from commission.job.plan import Plan
    from commission.job.state import JobState
    from commission.register.state import Register

_MALFORMED = (KeyError, TypeError, AttributeError, ValueError, IndexError)
"""What a fold may raise over a body of another shape than `job.entry` says."""


@dataclass(frozen=True, slots=True)
class Read:
    """What a stream's lines say."""

    entries: tuple[Entry, ...]
    """Up to the fault."""
    state: JobState | None = None
    """Of a whole job; None where the stream is no job's, or not whole."""
    register: Register | None = None
    """Of a whole register; None where the stream is none, or not whole."""
    fault: Fault | None = None


def read(lines: Iterable[bytes]) -> Read:
    """Return a stream's entries and what they add up to, where that is known; or the fault."""
    entries: list[Entry] = []
    for number, line in enumerate(lines, 1):
        try:
            json.loads(line, object_pairs_hook=_without_repeats)
            entry = parse(line)
            said = _clock_fault(entries[-1], entry) if entries else ""
        except (DamagedError, ValueError, RecursionError) as error:
            return Read(tuple(entries), fault=Fault(number, Reason.KEYS, str(error)))
        if said:
            return Read(tuple(entries), fault=Fault(number, Reason.CLOCK, said))
        entries.append(entry)
    if entries and entries[0].stream == STREAM:
        return _read_register(entries)
    if not entries or entries[0].kind != "opened":
        return Read(tuple(entries))
    try:
        return Read(tuple(entries), fold(entries))
    except DamagedError:
        return Read(tuple(entries), fault=_illegal(entries))


def fold(entries: Sequence[Entry]) -> JobState:
    """Return the state that a job's entries add up to.

    Raises:
        DamagedError: they do not begin with the opening of a job, or no legal job has them.
    """
    from commission.job.advance import replay

    plan = plan_of(entries)
    try:
        return replay(plan, entries)
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


def _read_register(entries: Sequence[Entry]) -> Read:
    from commission.register.fold import advance
    from commission.register.state import Register

    register = Register()
    for entry in entries:
        try:
            register = advance(register, entry)
        except CommissionError as error:
            fault = Fault(entry.seq, Reason.NOT_A_REGISTER, error.message)
            return Read(tuple(entries), fault=fault)
    return Read(tuple(entries), register=register)


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


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return members


def _clock_fault(before: Entry, entry: Entry) -> str:
    jump = jump_between(before.instant, entry.instant)
    if jump is None or entry.kind == "clock_jump":
        return ""
    machine = "" if jump.monotonic_s is None else f" and {jump.monotonic_s:.1f} s by the machine's"
    return f"{jump.wall_s:.1f} s passed by the wall clock{machine}, and no clock_jump says so"
