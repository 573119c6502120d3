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

if TYPE_CHECKING:
    from collections.abc import Callable

KEYS: Final = (
    "stream", "seq", "at", "clock", "bench", "by", "kind", "step", "attempt", "body", "prev",
)  # fmt: skip
"""The keys of a line, in the order in which they are written. `prev` ends it: a shell sees it."""

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
        members = _loads()(line)
        stream, seq, at, clock, bench, by, kind, step, attempt, body, prev = members.values()
        entry = Entry(
            stream, seq, at, Clock(clock["boot"], clock["ns"]),
            bench, by, kind, step, attempt, body, prev,
        )  # fmt: skip
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise DamagedError(f"A line of the record is not an entry: {_shown(line)}") from error
    if tuple(members) != KEYS or not has_entry_types(members):
        raise DamagedError(f"A line of the record is not of an entry's shape: {_shown(line)}")
    return entry


def has_entry_types(members: dict[str, Any]) -> bool:
    """Whether `KEYS` in order have an entry's types; says nothing of what `body` holds."""
    clock = members["clock"]
    return (
        tuple(map(type, members.values())) in _TYPES
        and tuple(clock) == ("boot", "ns")
        and tuple(map(type, clock.values())) == (str, int)
    )


_ABOUT_A_STEP: Final = (str, int, str, dict, str, str, str, str, int, dict, str)
_ABOUT_NO_STEP: Final = (*_ABOUT_A_STEP[:7], type(None), *_ABOUT_A_STEP[8:])
_TYPES: Final = frozenset({_ABOUT_A_STEP, _ABOUT_NO_STEP})


@functools.cache
def _loads() -> Callable[[bytes], Any]:
    """Return pydantic's parser: twice as fast as `json` over the lines of an archive."""
    from pydantic_core import from_json

    return from_json


def _shown(line: bytes) -> str:
    return repr(line[:80].decode("utf-8", "replace"))
