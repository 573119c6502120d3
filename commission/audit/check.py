"""How a check is declared: what it looks for, how bad what it finds is, and by whose word."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from commission.audit.audited import AuditedJob
    from commission.audit.finding import Finding, Severity


@dataclass(frozen=True, slots=True)
class Declared:
    """What every check says of itself."""

    id: str
    title: str
    looks_for: str
    """What it looks for and how it decides, in sentences; its figures stand in it."""
    severity: Severity
    """Of its usual finding; `review` makes it a sign."""
    source: str
    """Who says that it should be looked for; `common practice, no source` where nobody known."""
    version: int = 1
    """Changes with what it finds; an audit keeps it."""

    @property
    def is_sign(self) -> bool:
        """Whether what it finds only asks for a second look."""
        return self.severity == "review"


@dataclass(frozen=True, slots=True)
class Check:
    """A check of one job."""

    declared: Declared
    find: Callable[[AuditedJob], Iterable[Finding]]
    needs_whole: bool = True
    """Whether it can only look at a record that adds up to a job."""
    is_slow: bool = False
    """Left out of a quick audit."""


class Across(Protocol):
    """What a check across jobs remembers: little, whatever their number."""

    def see(self, job: AuditedJob) -> Any:  # noqa: ANN401  its own, for `take`
        """Return what it needs of a job that is whole: little, and free of what is remembered."""

    def take(self, seen: Any) -> Iterable[Finding]:  # noqa: ANN401  of `see`
        """Remember what was seen of one more job; return what is found by it already."""

    def findings(self) -> Iterable[Finding]:
        """Return what all of them together show."""


@dataclass(frozen=True, slots=True)
class AcrossCheck:
    """A check across the jobs of an audit."""

    declared: Declared
    begin: Callable[[], Across]
