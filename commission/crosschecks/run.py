"""Running the cross-checks: from values by role to findings, worst first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.crosschecks.base import ORDER, Asked, CrossCheck, Finding, Known, Severity, Stated
from commission.crosschecks.catalogue import all_checks
from commission.crosschecks.roles import LABELS, MAY_BE_NOTHING, ROLES
from commission.crosschecks.words import amount
from commission.errors import CalculationError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping


def run(
    known: Mapping[str, Known], checks: Iterable[CrossCheck] | None = None
) -> tuple[Finding, ...]:
    """Return what each check finds, worst first, else in the order of the catalogue.

    Args:
        known: values in SI by role; a role without a value is left out.
        checks: which to run; None runs all.
    """
    findings = [look(check, known) for check in (all_checks() if checks is None else checks)]
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))


def _no_numbers(check: CrossCheck, asked: Asked) -> Iterator[Stated]:
    """Say which values are nothing at all: such a limit is within everything, and may be none."""
    for role in check.roles:
        if role in MAY_BE_NOTHING or ROLES[role].kind != "number" or not asked.has(role):
            continue
        if asked.number(role) > 0.0:
            continue
        label = asked.label(role)
        yield Stated(
            holds=False,
            said=f"{label[:1].upper()}{label[1:]} {amount(asked.number(role), ROLES[role].unit)}"
            f" ({asked.origin(role)}) is no number to hold anything against.",
            broken=Severity.LOOK_AGAIN,
            follows="On some controllers a limit of zero is no limit at all.",
            do="Find out what it means there, then read or set the number that holds.",
        )


def look(check: CrossCheck, known: Mapping[str, Known]) -> Finding:
    """Return what one check finds."""
    missing = check.missing(known)
    if missing:
        return Finding(check, Severity.UNCHECKED, missing=missing)
    asked = Asked(known, LABELS)
    try:
        statements = (*check.function(asked), *_no_numbers(check, asked))
    except CalculationError as error:
        return Finding(
            check, Severity.CONFLICT, impossible=error.diagnostics(),
            calculators=asked.calculators, warnings=tuple(asked.warnings),
        )  # fmt: skip
    broken = [each.broken for each in statements if not each.holds]
    severity = min(broken, key=ORDER.index, default=Severity.FITS)
    return Finding(
        check, severity, statements, calculators=asked.calculators,
        warnings=tuple(asked.warnings),
    )  # fmt: skip
