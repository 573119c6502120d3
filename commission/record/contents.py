"""What entries say beside their moment and their place in the chain: equal bytes are read once.

Between the clock and `prev` of a line stands what a person did, and that is mostly what was done in
other jobs, too: a caution read, a step confirmed, a setting that reads as it always does. Here
equal bytes give one and the same content in memory, which nobody changes.
"""

from __future__ import annotations

import functools
import json
from typing import TYPE_CHECKING, Any, Final

from commission.job.entry import Clock, Entry
from commission.job.quickly import quickly
from commission.record.line import KEYS, is_written_just_so, parser

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from commission.record.chain import LaidOut

_MOST: Final = 8192
"""Contents kept, those met last: with what they say some 30 MB."""
_LONGEST: Final = 2048
"""Bytes of a content that is kept: longer ones hardly come twice."""
_PREV: Final = len(',"prev":""}') + 64
_KEYS: Final = KEYS[4:10]
_TYPES: Final = tuple((str, str, str, step, int, dict) for step in (str, type(None)))
_entry: Final = quickly(Entry)
_clock: Final = quickly(Clock)


def entries_of(lines: Sequence[bytes], layouts: Iterable[LaidOut], stream: str) -> list[Entry]:
    """Return the entries of lines that are whole as a chain, and laid out as they were found to be.

    Raises:
        ValueError: a line is laid out otherwise, says something that is no entry, or has a key that
            stands twice in one object.
    """
    found: list[Entry] = []
    for line, (number, at, boot, ticks, after, prev) in zip(lines, layouts, strict=True):
        if not after or not ticks.isdigit():
            raise ValueError("laid out otherwise")
        content = line[after:-_PREV]
        bench, by, kind, step, attempt, body = (
            _kept(content) if len(content) <= _LONGEST else _said(content)
        )
        clock = _clock(boot, int(ticks))
        found.append(
            _entry(
                stream,
                number,
                at.decode(),
                clock,
                bench,
                by,
                kind,
                step,
                attempt,
                body,
                prev,
            )
        )
    return found


def forget() -> None:
    """Keep no content any more."""
    _kept.cache_clear()


def _said(content: bytes) -> tuple[Any, ...]:
    if not content.startswith(b","):
        raise ValueError("no members of an object")
    text = b"{%b}" % content[1:]
    members = parser()(text)
    values = tuple(members.values())
    if tuple(members) != _KEYS or tuple(map(type, values)) not in _TYPES:
        raise ValueError("not an entry's shape")
    if not is_written_just_so(text, members):
        json.loads(text, object_pairs_hook=without_repeats)
    return values


_kept: Final = functools.lru_cache(_MOST)(_said)


def without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object's members; raises `ValueError` where a key stands twice in it."""
    members = dict(pairs)
    if len(members) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return members
