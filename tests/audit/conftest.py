"""Records to audit: honest practice jobs as lines, and ways to plant one thing in them."""

from __future__ import annotations

import functools
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.audit.audited import AuditedJob, read_job
from commission.audit.run import checked
from commission.job.entry import GENESIS, Digest, Entry
from commission.job.plan import Plan, plan
from commission.practice.populations import HANDS, job
from commission.procedure import load
from commission.record.line import digest_of, to_line

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from commission.audit.finding import Finding
    from commission.procedure.load import Loaded
    from commission.record.signatures import KnownRegister

AS_OF: Final = "2031-01-01T00:00:00.000000Z"
HAND: Final = {hand.name: hand for hand in HANDS}


@functools.cache
def shipped(slug: str) -> tuple[Loaded, Plan]:
    """Return a shipped procedure and its plan."""
    path = next(path for name, _, path in load.shipped() if name == slug)
    loaded = load.load(path)
    assert loaded.procedure is not None
    return loaded, plan(loaded.procedure)


@functools.cache
def made(slug: str, hand: str = "honest", person: int = 0, number: int = 0) -> tuple[Entry, ...]:
    """Return the entries of one simulated job, its opening embedding the procedure."""
    loaded, planned = shipped(slug)
    entries = job(planned, HAND[hand], person, number).entries
    assert loaded.procedure is not None
    own = {
        "id": loaded.procedure.procedure, "revision": loaded.procedure.revision,
        "digest": loaded.digest, "text": loaded.text,
    }  # fmt: skip
    stream = f"203001{7 + number:02d}-BCD{'FGHJ'[person]}"
    body = {**entries[0].body, "job": stream, "procedure": own, "practice": False}
    return tuple(
        replace(each, stream=stream, body=body if each.kind == "opened" else each.body)
        for each in entries
    )


def chained(entries: Iterable[Entry]) -> list[bytes]:
    """Return entries as the lines of a record: numbered and chained anew."""
    lines: list[bytes] = []
    prev: Digest = GENESIS
    for seq, entry in enumerate(entries, 1):
        lines.append(to_line(replace(entry, seq=seq, prev=prev)))
        prev = digest_of(lines[-1])
    return lines


@dataclass
class Record:
    """A job's entries, to be tampered with as somebody would who can chain them anew."""

    entries: list[Entry] = field(default_factory=list)

    def where(self, kind: str, step: str = "") -> int:
        """Return the place of the first entry of a kind, about a step where one is named."""
        return next(
            place
            for place, entry in enumerate(self.entries)
            if entry.kind == kind and step in ("", entry.step)
        )

    def change(self, place: int, **fields: Any) -> Record:
        """Put other fields into one entry."""
        self.entries[place] = replace(self.entries[place], **fields)
        return self

    def change_body(self, place: int, **fields: Any) -> Record:
        """Put other fields into one entry's body."""
        return self.change(place, body={**self.entries[place].body, **fields})

    def lines(self) -> list[bytes]:
        """Return its lines."""
        return chained(self.entries)

    def audited(self, known: KnownRegister | None = None) -> AuditedJob:
        """Return it as an audit reads it."""
        return read_job(chained(self.entries), self.entries[0].stream, known, AS_OF, thorough=True)

    def found(self, known: KnownRegister | None = None) -> list[Finding]:
        """Return what the checks of one job find."""
        return list(checked(self.audited(known)))

    def ids(self, known: KnownRegister | None = None) -> set[str]:
        """Return which checks find something."""
        return {one.check for one in self.found(known)}


@pytest.fixture
def record() -> Callable[..., Record]:
    """Give an honest job, or another hand's, to plant something in."""

    def give(slug: str = "gearing-change", hand: str = "honest", **which: int) -> Record:
        return Record(list(made(slug, hand, **which)))

    return give


def given(value: str, unit: str) -> Mapping[str, Any]:
    """Return one reading as an answer's parts."""
    return {"": {"value": {"typed": value, "unit": unit}}}
