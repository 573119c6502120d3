"""What can be wrong with a stream, and with one line of it taken by itself."""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from commission.record.line import KEYS, digest_of, has_entry_types, parser


class Reason(StrEnum):
    """Why an entry is bad; the value is the word people and programs see."""

    NOT_JSON = "not JSON"
    KEYS = "keys"
    ORDER = "order"
    CHAIN = "chain"
    STREAM = "stream"
    CLOCK = "clock"
    PROCEDURE = "procedure digest"
    HEAD = "head differs"
    EMPTY = "no entries"
    ILLEGAL = "not a legal job"
    NOT_A_REGISTER = "not a legal register"
    PROJECTION = "projection differs"
    SIGNATURE = "signature"


@dataclass(frozen=True, slots=True)
class Fault:
    """The first thing that is wrong with a stream."""

    seq: int
    """Which entry, counted from 1; 0 where it is about no single one."""
    reason: Reason
    text: str
    """What was found and what was expected."""

    def __str__(self) -> str:
        where = f"entry {self.seq}: " if self.seq else ""
        return f"{where}{self.reason}: {self.text}"


@functools.lru_cache(maxsize=1)
def loaded(line: bytes) -> Any:  # noqa: ANN401  JSON
    """Return what a line says, for reading only: an opening, which is long, is looked at often."""
    try:
        return parser()(line)
    except ValueError:
        return json.loads(line)  # for its words about where a line is no JSON


def shape_fault(number: int, line: bytes) -> Fault | None:
    """Return the fault of a line that is no JSON, or not of an entry's keys and types."""
    try:
        members = loaded(line)
    except (ValueError, RecursionError) as error:
        hint = " (lines end with a carriage return)" if line.endswith(b"\r") else ""
        return Fault(number, Reason.NOT_JSON, f"the line is not JSON: {error}{hint}")
    if not isinstance(members, dict) or tuple(members) != KEYS or not has_entry_types(members):
        return Fault(number, Reason.KEYS, f"the line has not the keys {', '.join(KEYS)}")
    return None


def layout_fault(number: int) -> Fault:
    """Return the fault of a line whose tokens stand in another way than we write them."""
    return Fault(number, Reason.KEYS, "the line is not laid out as entries are written")


def procedure_fault(members: dict[str, Any]) -> Fault | None:
    """Return the fault of an opening whose procedure is not that of its digest."""
    if members["kind"] != "opened":
        return None
    procedure = members["body"].get("procedure")
    text = procedure.get("text") if isinstance(procedure, dict) else None
    if not isinstance(text, str):
        return Fault(1, Reason.PROCEDURE, "the opening embeds no procedure")
    found = digest_of(text.encode("utf-8", "surrogatepass"))
    if found != procedure.get("digest"):
        said = f"the embedded text has {found}, the entry says {procedure.get('digest')}"
        return Fault(1, Reason.PROCEDURE, said)
    return None
