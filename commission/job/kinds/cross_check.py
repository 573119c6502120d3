"""Cross-checks as a step: every finding is shown, every conflict answered.

A conflict is *mended* (its reason stays empty: a value is corrected, and this step is due again) or
*taken over*, with the reason. Either way the step has failed: what follows is `on_fail`'s, a
concession by the role it names where the procedure allows that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.crosschecks.base import Severity
from commission.job import crosschecking
from commission.job.ask import Ask, Asking
from commission.job.judge import Judgement, check, conclude
from commission.job.kinds.handler import Handler, Look
from commission.procedure.role_bindings import checks_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.crosschecks.base import Finding
    from commission.job.judge import Check
    from commission.job.state import Given

TAKEN: Final = "value"
"""The ask that says the findings were read."""
_READ: Final = "The findings are read; none of them is a permission"
_SAID: Final = (Severity.CONFLICT, Severity.LOOK_AGAIN)


class CrossCheck(Handler):
    """Asks why each conflict is taken over (empty: it will be mended), then `value` (done)."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        reasons = (
            Ask(finding.check.id, _why(finding), "text", optional=True,
                probe=look.step.probe or "")
            for finding in _found(look)
            if finding.severity is Severity.CONFLICT
        )  # fmt: skip
        return (*reasons, Ask(TAKEN, _READ, "done", probe=look.step.probe or ""))

    def asking(self, look: Look, part: str) -> Asking:
        """See `Handler.asking`: what is wrong, worst first, then how many came out how."""
        found = _found(look)
        lines = [
            f"{finding.severity.upper()}: {crosschecking.sentence(finding)}"
            for finding in found
            if finding.severity in _SAID
        ]
        said = "\n".join([*lines, crosschecking.summary(found)])
        return Asking(look.step.id, part, said, self.asks(look, part))

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`: values, findings and versions are kept, to be judged again."""
        found, given = _found(look), look.parts[""]
        if not look.in_words:
            return conclude(_checks(found, given, in_words=False), values=_counts(found))
        kept: dict[str, Any] = {
            "roles": crosschecking.roles_of(look.state, found),
            "findings": [crosschecking.record_of(finding) for finding in found],
            "values": _counts(found),
        }
        return conclude(_checks(found, given), passed=crosschecking.summary(found), **kept)


def _why(finding: Finding) -> str:
    subject = finding.check.id.replace("-", " ")
    return f"{subject.capitalize()}: why it is taken over (empty: it will be mended)"


def _found(look: Look) -> tuple[Finding, ...]:
    return crosschecking.findings(look.state, checks_of(look.step))


def _counts(found: tuple[Finding, ...]) -> dict[str, float]:
    names = {
        Severity.CONFLICT: "conflicts", Severity.LOOK_AGAIN: "look_again",
        Severity.UNCHECKED: "unchecked", Severity.FITS: "fits",
    }  # fmt: skip
    return {
        name: float(sum(finding.severity is severity for finding in found))
        for severity, name in names.items()
    }


def _checks(
    found: tuple[Finding, ...], given: Mapping[str, Given], *, in_words: bool = True
) -> Iterator[Check]:
    made = [finding for finding in found if finding.severity is not Severity.UNCHECKED]
    if not made:
        record = {"check": "true", "of": "cross-checks", "got": False}
        yield check(record, f"Not one could be made. {crosschecking.summary(found)}")
    for finding in made:
        said = crosschecking.sentence(finding) if in_words else ""
        if finding.severity is Severity.CONFLICT:
            reason = given.get(finding.check.id)
            said += f" Taken over because: {reason}" if reason else " To be mended."
        yield from _of_finding(finding, said)


def _of_finding(finding: Finding, said: str) -> Iterator[Check]:
    """Yield a record for each comparison, the sentence with the first of the worst."""
    base = {"check": "compared", "of": finding.check.id}
    if finding.impossible:
        yield check({**base, "got": False, "broken": Severity.CONFLICT.value}, said)
        return
    for statement in finding.statements:
        worst = statement.broken if not statement.holds else Severity.FITS
        yield check({**base, **statement.record()}, said if worst is finding.severity else "")
        if worst is finding.severity:
            said = ""
