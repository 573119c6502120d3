"""What an audit finds: a *fault* of a record, or a *sign* that asks for a second look."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

Severity = Literal["critical", "major", "minor", "review"]
SEVERITIES: Final[tuple[Severity, ...]] = ("critical", "major", "minor", "review")
"""Worst first.

critical: what the record says cannot be relied on
major: a step, a hold or a proof is missing, or a verdict is not what its readings give
minor: to be put right, without doubt about the bike
review: a sign; says nothing of anybody, only that somebody should look
"""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found."""

    check: str
    """Id of the check that found it."""
    severity: Severity
    job: str
    """The record it is about; empty where it is about several."""
    text: str
    """What was found and what was expected, in one sentence."""
    seq: int = 0
    """The entry, or the first of several; 0 where it is about none."""
    step: str = ""
    by: str = ""
    """Whose entry it is; of a sign across jobs, whose jobs."""
    entries: tuple[int, ...] = ()
    """All entries it is about, the first twenty."""

    @property
    def is_sign(self) -> bool:
        """Whether it only asks for a second look."""
        return self.severity == "review"

    @property
    def grade(self) -> int:
        """How grave it is, 0 the worst: by this findings are sorted."""
        return SEVERITIES.index(self.severity)

    def to_json(self) -> dict[str, Any]:
        """Return it as programs read it, and as an audit records it."""
        return {
            "check": self.check, "severity": self.severity, "job": self.job, "seq": self.seq,
            "step": self.step, "by": self.by, "text": self.text, "entries": list(self.entries),
        }  # fmt: skip

    def __str__(self) -> str:
        where = " ".join(
            each
            for each in (self.job, f"entry {self.seq}" if self.seq else "", self.step, self.by)
            if each
        )
        return f"{self.severity.upper():8}  {where}: {self.text} [{self.check}]"


_KEPT: Final = 20


def first(entries: tuple[int, ...] | list[int]) -> tuple[int, ...]:
    """Return the first entries of many, as a finding keeps them."""
    return tuple(entries[:_KEPT])
