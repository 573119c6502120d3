"""What the cross-checks found, as a card and a list show it: worst first. A state in, lines out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import Severity
from commission.crosschecks.words import advice, because, follows
from commission.job.crosschecking import findings, summary
from commission.procedure.role_bindings import checks_of
from commission.tui.job.told import Told

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.crosschecks.base import Finding
    from commission.job.state import JobState
    from commission.procedure.model import CrossCheck

_WORDS: Final = {
    Severity.CONFLICT: ("CONFLICT", "$text-error"),
    Severity.LOOK_AGAIN: ("Look again", "$text-warning"),
    Severity.UNCHECKED: ("Not checked", "$text-muted"),
    Severity.FITS: ("Fits", "$text-success"),
}
_WORSE: Final = (Severity.CONFLICT, Severity.LOOK_AGAIN)
SIGNS: Final = {
    Severity.CONFLICT: "×", Severity.LOOK_AGAIN: "!", Severity.UNCHECKED: "?", Severity.FITS: "√",
}  # fmt: skip


def told_of(step: CrossCheck, state: JobState) -> list[Told]:
    """Return how many came out how, and each finding; those that cannot be checked together."""
    found = findings(state, checks_of(step))
    paragraphs = [Told("Found", summary(found), "$text-accent", bold=True)]
    paragraphs += [_told(each) for each in found if each.severity is not Severity.UNCHECKED]
    lacking = [each for each in found if each.severity is Severity.UNCHECKED]
    if lacking:
        word, style = _WORDS[Severity.UNCHECKED]
        before = sum(each.severity in _WORSE for each in found)
        paragraphs.insert(before + 1, Told(word, _missing(lacking), style))
    return paragraphs


def story(finding: Finding) -> str:
    """Return a finding in full: numbers, what follows, what to do, calculators and source."""
    sums = ", ".join(f"{name} v{version}" for name, version in finding.calculators.items())
    parts = (
        f"{finding.check.title}: {finding.severity.upper()}",
        because(finding),
        " ".join(part for part in (follows(finding), advice(finding)) if part),
        f"{f'By {sums}. ' if sums else ''}Source: {finding.check.source}.",
    )
    return "\n".join(part for part in parts if part)


def _told(finding: Finding) -> Told:
    word, style = _WORDS[finding.severity]
    after = " ".join(part for part in (follows(finding), advice(finding)) if part)
    parts = (f"{finding.check.title}.", because(finding), after)
    return Told(word, "\n".join(part for part in parts if part), style)


def subject(finding: Finding) -> str:
    """Return what a check is about in two or three words: `fuse current`."""
    return finding.check.id.replace("-", " ")


def _missing(lacking: Sequence[Finding]) -> str:
    subjects = ", ".join(subject(each) for each in lacking)
    return f"For want of a value: {subjects}. F9, cross-checks, says which."
