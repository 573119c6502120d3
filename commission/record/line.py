r"""One entry as one line of JSON, and back.

A line is UTF-8 JSON with the keys of `KEYS` in that order, no space between tokens, no line break
inside. The store keeps it without a newline; in an exported file each line ends with one `\n`.
Its digest is the SHA-256 of its bytes without that newline, as

    printf '%s' "$line" | sha256sum

computes it. **The bytes as written are what is hashed**: nothing here serialises a line again to
check it, so a reader needs no rule for canonical JSON.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any, Final

from commission.errors import DamagedError, IllegalEntryError
from commission.job.entry import Clock, Digest, Entry

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
        stream, seq, at, clock, bench, by, kind, step, attempt, body, prev = (
            members := json.loads(line)
        ).values()
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
    """Whether the values under an entry's keys have an entry's types; says nothing of `body`."""
    clock, step = members["clock"], members["step"]
    return (
        type(members["seq"]) is int
        and type(members["attempt"]) is int
        and type(members["body"]) is dict
        and type(clock) is dict
        and len(clock) == 2  # noqa: PLR2004  boot and ns
        and type(clock.get("ns")) is int
        and type(clock.get("boot")) is str
        and (step is None or type(step) is str)
        and all(type(members[key]) is str for key in _TEXT_KEYS)
    )


_TEXT_KEYS: Final = ("stream", "at", "bench", "by", "kind", "prev")


def _shown(line: bytes) -> str:
    return repr(line[:80].decode("utf-8", "replace"))
