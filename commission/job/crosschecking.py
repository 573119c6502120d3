"""Cross-checks over a job: what is known by role and where it came from, and what that leads to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.crosschecks.base import Finding, Known, Severity
from commission.crosschecks.run import run
from commission.crosschecks.words import advice, because, follows
from commission.job.closeness import value_of
from commission.job.values import values
from commission.procedure.expression import ExpressionError, UnknownValueError
from commission.procedure.role_bindings import expression_of, setting_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from commission.crosschecks.base import CrossCheck
    from commission.job.state import JobState
    from commission.procedure.model import Expression

_ORIGINS = {
    "fact": "fact", "measure": "reading", "series": "readings", "sweep": "readings",
    "choose": "answer", "observe": "observation", "confirm": "answer", "identify": "answer",
}  # fmt: skip


def known(state: JobState) -> dict[str, Known]:
    """Return the values now known by role; roles without a value are left out."""
    found = {}
    for role, source in state.plan.procedure.roles.items():
        try:
            setting = setting_of(source, state.plan.settings)
            found[role] = _of_setting(state, setting) if setting else _of(state, role, source)
        except (UnknownValueError, ExpressionError):
            continue
    return found


def findings(state: JobState, checks: Iterable[CrossCheck] | None = None) -> tuple[Finding, ...]:
    """Return what the cross-checks find in what a job knows now, worst first."""
    return run(known(state), checks)


def findings_again(judged: Mapping[str, Any]) -> tuple[Finding, ...]:
    """Return what this program's checks find in the values that a judgement was made from."""
    from commission.crosschecks.catalogue import get

    kept = {
        role: Known(each["value"], each["from"]) for role, each in judged["roles"].items()
    }  # fmt: skip
    return run(kept, [get(each["check"]) for each in judged["findings"]])


def summary(found: Sequence[Finding]) -> str:
    """Return how many came out how, and that it is no permission."""
    return f"{counted(found)}. That is no permission."


def counted(found: Sequence[Finding]) -> str:
    """Return how many came out how: `1 conflict, 2 to look at again, 30 fit`."""
    count = dict.fromkeys(Severity, 0)
    for finding in found:
        count[finding.severity] += 1
    conflicts, looks = count[Severity.CONFLICT], count[Severity.LOOK_AGAIN]
    parts = [
        f"{conflicts or 'no'} conflict{'' if conflicts == 1 else 's'}",
        f"{looks} to look at again" if looks else "",
        f"{count[Severity.UNCHECKED]} cannot be checked" if count[Severity.UNCHECKED] else "",
        f"{count[Severity.FITS]} fit{'s' if count[Severity.FITS] == 1 else ''}",
    ]
    text = ", ".join(part for part in parts if part)
    return f"{text[0].upper()}{text[1:]}"


def sentence(finding: Finding) -> str:
    """Return a finding as people read it: what it is about, the numbers, what follows, what to do.

    The parts are one line.
    """
    parts = (f"{finding.check.title}:", because(finding), follows(finding), advice(finding))
    return " ".join(part for part in parts if part)


def record_of(finding: Finding) -> dict[str, Any]:
    """Return what a record keeps of a finding."""
    return {
        "check": finding.check.id,
        "version": finding.check.version,
        "severity": finding.severity.value,
        "because": because(finding),
        "calculators": dict(finding.calculators),
        "missing": list(finding.missing),
    }


def roles_of(state: JobState, found: Iterable[Finding]) -> dict[str, Any]:
    """Return the values that findings were made from, as a record keeps them."""
    looked_at = {role for finding in found for role in finding.check.roles}
    return {
        role: {"value": each.value, "from": each.origin}
        for role, each in known(state).items()
        if role in looked_at
    }


def _of_setting(state: JobState, setting: str) -> Known:
    """Return a setting as it stands: as left, else as written, else as intended, else as found."""
    stands = state.settings.get(setting)
    if stands is not None and stands.left:
        held = stands.left[-1]
        return Known(value_of(held.given), f"setting {setting}, as left")
    if stands is not None and stands.written is not None:
        return Known(value_of(stands.written.given), f"setting {setting}, as written")
    part = "found" if state.plan.settings[setting].intended is None else "intended"
    words = "as found" if part == "found" else "intended"
    return Known(values(state)[f"{setting}.{part}"], f"setting {setting}, {words}")


def _of(state: JobState, role: str, source: Expression) -> Known:
    expression = expression_of(role, source)
    value = expression.evaluate(values(state))
    return Known(value, _origin(state, str(source).strip(), expression.names))


def _origin(state: JobState, source: str, names: frozenset[str]) -> str:
    if not names:
        return "as the procedure says"
    if names != {source}:
        return f"computed: {source}"
    root, _, part = source.partition(".")
    if root in state.plan.settings:
        return f"setting {root}, {'intended' if part == 'intended' else f'as {part}'}"
    step = state.plan.planned(root).step
    if step.kind == "calculate":
        answer = state.steps[root].answer
        typed = answer is not None and part in answer.parts.get("", {})
        return f"reading {source}" if typed else f"computed by {source}"
    return f"{_ORIGINS.get(step.kind, 'step')} {source}"
