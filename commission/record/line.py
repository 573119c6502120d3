r"""One entry as one line of JSON, and back.

A line is UTF-8 JSON with the keys of `KEYS` in that order, no space between tokens, no line break
inside. The store keeps it without a newline; in an exported file each line ends with one `\n`.
Its digest is the SHA-256 of its bytes without that newline, as

    printf '%s' "$line" | sha256sum

computes it. **The bytes as written are what is hashed**: nothing here serialises a line again to
check it, so a reader needs no rule for canonical JSON.
"""

from __future__ import annotations

import functools
import hashlib
import json
from typing import TYPE_CHECKING, Any, Final

from commission.errors import DamagedError, IllegalEntryError
from commission.job.entry import Clock, Digest, Entry
from commission.job.quickly import quickly

if TYPE_CHECKING:
    from collections.abc import Callable

KEYS: Final = (
    "stream", "seq", "at", "clock", "bench", "by", "kind", "step", "attempt", "body", "prev",
)  # fmt: skip
"""The keys of a line, in the order in which they are written. `prev` ends it: a shell sees it."""

_entry: Final = quickly(Entry)
_clock: Final = quickly(Clock)
_encode: Final = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, separators=(",", ":"), check_circular=True
).encode


def to_line(entry: Entry) -> bytes:
    """Return the bytes of `entry` as they are stored and hashed, without a newline.

    Raises:
        IllegalEntryError: the body holds something that JSON or UTF-8 cannot say.
    """
    ordered = {
        "stream": entry.stream,
        "seq": entry.seq,
        "at": entry.at,
        "clock": {"boot": entry.clock.boot, "ns": entry.clock.ns},
        "bench": entry.bench,
        "by": entry.by,
        "kind": entry.kind,
        "step": entry.step,
        "attempt": entry.attempt,
        "body": entry.body,
        "prev": entry.prev,
    }
    try:
        return _encode(ordered).encode("utf-8")
    except (TypeError, ValueError) as error:  # UnicodeEncodeError is a ValueError
        raise IllegalEntryError(
            f"This answer cannot be written down as text ({error}); nothing was recorded.",
            "Type it again without special characters.",
        ) from error


def digest_of(line: bytes) -> Digest:
    """Return the SHA-256 of a line's bytes, without its newline."""
    return Digest(hashlib.sha256(line).hexdigest())


def parse(line: bytes) -> Entry:
    """Return the entry that a line says.

    Shapes of `body` are the job's business, and the chain is that of `chain`.

    Raises:
        DamagedError: the line is not JSON, or not of the keys and types of an entry.
    """
    try:
        return entry_of(parser()(line))
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise DamagedError(f"A line of the record is not an entry: {_shown(line)}") from error


def entry_of(said: Any) -> Entry:  # noqa: ANN401  JSON
    """Return the entry that a line's JSON says.

    Raises:
        ValueError: it has not the keys and types of an entry; or one of the errors below.
        TypeError, KeyError, AttributeError: it is no object at all.
    """
    stream, seq, at, clock, bench, by, kind, step, attempt, body, prev = said.values()
    if tuple(said) != KEYS or not has_entry_types(said):
        raise ValueError("not an entry's shape")
    return _entry(
        stream, seq, at, _clock(clock["boot"], clock["ns"]),
        bench, by, kind, step, attempt, body, prev,
    )  # fmt: skip


def has_entry_types(members: dict[str, Any]) -> bool:
    """Whether `KEYS` in order have an entry's types; says nothing of what `body` holds."""
    types, clock = tuple(map(type, members.values())), members["clock"]
    return (
        types in _TYPES and tuple(clock) == _CLOCK and tuple(map(type, clock.values())) == _OF_CLOCK
    )


_ABOUT_A_STEP: Final = (str, int, str, dict, str, str, str, str, int, dict, str)
_ABOUT_NO_STEP: Final = (*_ABOUT_A_STEP[:7], type(None), *_ABOUT_A_STEP[8:])
_TYPES: Final = (_ABOUT_A_STEP, _ABOUT_NO_STEP)
_CLOCK: Final = ("boot", "ns")
_OF_CLOCK: Final = (str, int)


@functools.cache
def parser() -> Callable[[bytes], Any]:
    """Return what makes JSON of a line: pydantic's, twice as fast as `json` over an archive."""
    from pydantic_core import from_json

    return from_json


def is_written_just_so(line: bytes, said: Any) -> bool:  # noqa: ANN401  JSON
    """Whether what a line says, written again, gives its bytes: then no key stands twice in it.

    Of a few good lines this is false: those with very small or large numbers, which pydantic's
    writer (four times as fast as `json`) writes in another way.
    """
    return writer()(said) == line


@functools.cache
def writer() -> Callable[[Any], bytes]:
    """Return what makes bytes of JSON, pydantic's: of equal bytes only where all in it is alike."""
    from pydantic_core import to_json

    # Else a number that is none would be written as null, and taken for one.
    return functools.partial(to_json, inf_nan_mode="constants")


def _shown(line: bytes) -> str:
    return repr(line[:80].decode("utf-8", "replace"))
