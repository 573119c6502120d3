"""What a record is made of: entries, and the drafts from which the record makes them.

Body shapes by kind (JSON types; a *given* is what a person entered):

given            quantity and integer: `{"typed": "84.0", "unit": "V"}`, and `instrument` where a
                 registered one was read (`job.instrument`); text and choice: string;
                 yes/no and done: `true`/`false`; file: `{"name", "sha256", "size"}`
opened           `job, bike {frame, model, …}, procedure {id, revision, digest, text}, practice,
                 people [{name, roles}], tool`; text is the whole procedure, fragments resolved;
                 on a bench with registered people also `register {entry, head}`, and each of
                 `people` has an `id` in it
joined           `name, roles`, and `id` where people are registered: another person takes part
acknowledged     a caution of `step` was read: `{}`
part             one piece of a step's answer: `part`, `given {name: given}`; where it replaces an
                 earlier one of this attempt: `replaces` (seq), `reason`; of a write also
                 `intended {setting: given}`: what each was to be when it was written
answered         the step is concluded: `parts {part: {name: given}}` (of steps answered in one
                 piece; the others stand in their part entries), `verdict`, `because`, `judged`;
                 `judged.values {name: SI value}` is what the answer makes known as `step.name`
                 beside what was given: the outputs of a calculator, `column` and `column.spread`,
                 `.range`, `.runs` of a series, `slope` and so on of a sweep
corrected        as answered with all parts, and `replaces` (seq), `reason`
not_applicable   `condition`, `reason`: the step's `when` is false
hold_confirmed   `role, mode` ("concurrent", "independent" or "delayed self-check"), `agrees,
                 reason`; of an independent witness also `parts, verdict, judged, because` of the
                 own reading
conceded         `role, scope, expiry, reason`
instrument_conceded `instrument` (id, empty for one in no register), `named` (in words),
                 `role, scope, expiry, reason`: leave to read with one that is out of calibration
resumed          a lead lets a stopped job go on: `role, reason`
left, returned   work was interrupted at `step`, and taken up again
reread           the last steps were shown again before work went on: `steps`
clock_jump       wall and monotonic clock disagree: `wall_s, monotonic_s` since the last entry
noted            an open item: `grade` ("A" blocks release, "B" may follow, "" a remark), `text`
note_closed      `note` (seq), `text`
closed           the job ends without release: `outcome`, `reason`

The body of an entry that can be signed ends with `signature`: null where nobody is registered, see
`job.signed` and `job.signature`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, NewType

if TYPE_CHECKING:
    from collections.abc import Mapping

Digest = NewType("Digest", str)
"""SHA-256 as 64 lower-case hexadecimal digits."""
GENESIS: Final = Digest("0" * 64)
"""`prev` of a stream's first entry."""

KINDS: Final = (
    "opened", "joined", "acknowledged", "part", "answered", "corrected", "not_applicable",
    "hold_confirmed", "conceded", "instrument_conceded", "resumed", "left", "returned", "reread",
    "clock_jump", "noted", "note_closed", "closed",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clock:
    """The monotonic clock: `ns` since the boot named by `boot`; only one boot's are comparable."""

    boot: str
    ns: int


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment by both clocks; the core is always given it and never asks for the time."""

    at: str
    """UTC, RFC 3339 with microseconds and `Z`."""
    clock: Clock


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a record, parsed; the line's bytes, not this, are what is hashed."""

    stream: str
    seq: int
    """From 1, without gaps."""
    at: str
    clock: Clock
    bench: str
    by: str
    kind: str
    step: str | None
    attempt: int
    """From 1 for entries about a step, 0 for the others."""
    body: Mapping[str, Any]
    prev: Digest

    @property
    def instant(self) -> Instant:
        """The entry's moment."""
        return Instant(self.at, self.clock)


@dataclass(frozen=True, slots=True)
class Draft:
    """What is to become an entry; the record adds stream, number, time, bench and chain."""

    kind: str
    by: str
    step: str | None = None
    attempt: int = 0
    body: Mapping[str, Any] = field(default_factory=dict)
