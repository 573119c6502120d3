"""Entries in, register out. Each kind of entry has one rule; see the tables that are joined here.

A rule file owns its kinds and exports `RULES`; to register something new, add a file and join it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import IllegalEntryError, RefusedError
from commission.register import instruments, people, procedures
from commission.register.state import STREAM, Register
from commission.register.working import Working

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.job.entry import Entry


def _nothing(_: Working, __: Entry) -> None:
    """Change nothing: clocks that jumped are told by the entry itself."""


_RULES: Final[Mapping[str, Callable[[Working, Entry], None]]] = {
    "clock_jump": _nothing,
    **people.RULES,
    **procedures.RULES,
    **instruments.RULES,
}


def advance(register: Register, entry: Entry) -> Register:
    """Return the register after one more entry; `register` itself never changes.

    Raises:
        IllegalEntryError: no legal register contains this entry at this point; says why.
    """
    working = Working(register)
    _apply(working, entry)
    return working.frozen()


def replay(entries: Iterable[Entry]) -> Register:
    """Return the register after all entries.

    Raises:
        IllegalEntryError: at the first entry that is not legal.
    """
    working = Working(Register())
    for entry in entries:
        _apply(working, entry)
    return working.frozen()


def _apply(register: Working, entry: Entry) -> None:
    if entry.stream != STREAM or entry.step is not None:
        raise IllegalEntryError(f"Entry {entry.seq} is none of a register.")
    if entry.seq != register.seq + 1:
        raise IllegalEntryError(f"Entry {entry.seq} comes where {register.seq + 1} is due.")
    rule = _RULES.get(entry.kind)
    if rule is None:
        raise IllegalEntryError(f"Entry {entry.seq} is of the unknown kind {entry.kind!r}.")
    try:
        rule(register, entry)
    except IllegalEntryError:
        raise
    except (KeyError, TypeError, AttributeError, ValueError, RefusedError) as error:
        raise IllegalEntryError(
            f"Entry {entry.seq} ({entry.kind}) is not made as such entries are: {error!r}."
        ) from error
    register.seq, register.at, register.clock = entry.seq, entry.at, entry.clock
