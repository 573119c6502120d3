"""Which judgements were made by another revision of a calculator or cross-check than ours."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from commission.calculators import catalogue
from commission.crosschecks import catalogue as crosschecks
from commission.errors import CalculationError, ProcedureError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping


def other_revision(judged: Mapping[str, Any]) -> str:
    """Return in words what of a judgement's rules is of another revision; empty where nothing is.

    Such a judgement is told apart and not compared: what differs may be our rule, not the work.

    Args:
        judged: of an `answered` or `corrected` entry, or of a witness's reading.

    Raises:
        KeyError, TypeError, AttributeError: it is of another shape than ours.
    """
    for name, recorded, present in _rules(judged):
        if present is None:
            return f"Cannot be computed again: {name} is not known here."
        if present != recorded:
            return f"Cannot be computed again: {name} was at version {recorded}, is at {present}."
    return ""


def _rules(judged: Mapping[str, Any]) -> Iterator[tuple[str, Any, int | None]]:
    """Yield each calculator and cross-check with its version as recorded and as it is here."""
    if judged.get("calculator") and "values" in judged:
        yield judged["calculator"], judged.get("version"), _calculator(judged["calculator"])
    for finding in judged.get("findings", ()):
        check = finding["check"]
        yield f"cross-check {check}", finding["version"], _cross_check(check)
        for name, version in finding["calculators"].items():
            yield name, version, _calculator(name)


@lru_cache(maxsize=256)
def _calculator(name: str) -> int | None:
    try:
        return catalogue.get(name).version
    except CalculationError:
        return None


@lru_cache(maxsize=256)
def _cross_check(name: str) -> int | None:
    try:
        return crosschecks.get(name).version
    except ProcedureError:
        return None
