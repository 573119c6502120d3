"""A finding in words: what was compared, by how much, what follows, what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.crosschecks.base import ROUNDING, Compared, Severity
from commission.crosschecks.roles import ROLES
from commission.quantities import plain_number, unit

if TYPE_CHECKING:
    from commission.crosschecks.base import Finding, Side, Statement

_DIGITS: Final = 4


def because(finding: Finding) -> str:
    """Return the sentences of a finding: those that do not hold, or all where each does."""
    if finding.severity is Severity.UNCHECKED:
        return f"Cannot be checked: missing {missing_words(finding)}."
    if finding.impossible:
        return f"The values have no result together: {finding.impossible}"
    broken = [each for each in finding.statements if not each.holds]
    sentences = [said(each) for each in broken or finding.statements]
    return " ".join(dict.fromkeys((*sentences, *finding.warnings)))


def follows(finding: Finding) -> str:
    """Return what follows from what does not hold; empty where everything does."""
    return _of_broken(finding, "follows")


def advice(finding: Finding) -> str:
    """Return what to do about what does not hold; empty where everything does."""
    if finding.impossible:
        return "Check each of these values where it came from."
    return _of_broken(finding, "do")


def missing_words(finding: Finding) -> str:
    """Return the missing roles by their labels, with their names for whoever writes procedures."""
    return "; ".join(
        " or ".join(f"{ROLES[role].label} ({role})" for role in each.split(" or "))
        for each in finding.missing
    )


def _of_broken(finding: Finding, key: str) -> str:
    broken = (getattr(each, key) for each in finding.statements if not each.holds)
    return " ".join(text for text in dict.fromkeys(broken) if text)


def said(statement: Statement) -> str:
    """Return one comparison as a sentence with both numbers, their origins and the difference."""
    if not isinstance(statement, Compared):
        return statement.said
    left, shown = statement.left, statement.unit
    head = f"{left.what[0].upper()}{left.what[1:]} {amount(left.value, shown)}{_from(left)}"
    return f"{head} against {_against(statement)}: {_gap(statement)}."


def amount(si: float, shown: str) -> str:
    """Return an SI value in a unit, without zeros that say nothing: `110 A`."""
    return f"{plain_number(unit(shown).from_si(si), _DIGITS)} {shown}".strip()


def _against(statement: Compared) -> str:
    low, high = statement.low, statement.high
    if low is not None and high is not None:
        if low.value == high.value:
            return _side(low, statement.unit)
        return f"{_side(low, statement.unit)}, to {_side(high, statement.unit)}"
    if high is not None:
        return f"at most {_side(high, statement.unit)}"
    return "" if low is None else f"at least {_side(low, statement.unit)}"


def _side(side: Side, shown: str) -> str:
    return f"{amount(side.value, shown)}, {side.what}{_from(side)}"


def _from(side: Side) -> str:
    return f" ({side.origin})" if side.origin else ""


def _gap(statement: Compared) -> str:
    room, value = statement.room, statement.left.value
    if abs(room) <= ROUNDING * max(abs(value), abs(value + room)):
        return "equal"
    number = abs(room) / unit(statement.unit).factor
    gap = f"{plain_number(number, _DIGITS - 1)} {statement.unit}".strip()
    if room > 0:
        return f"{gap} to spare"
    high = statement.high
    return f"{gap} too {'much' if high is not None and value > high.value else 'little'}"
