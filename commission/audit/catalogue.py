"""All checks, in the order in which they are made and listed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.audit.checks import (
    across,
    again,
    complete,
    instruments,
    leave,
    pace,
    readings,
    whole,
)
from commission.errors import RefusedError

if TYPE_CHECKING:
    from commission.audit.check import Declared

CHECKS: Final = (
    *whole.CHECKS,
    *complete.CHECKS,
    *again.CHECKS,
    *instruments.CHECKS,
    *leave.CHECKS,
    *pace.CHECKS,
    *readings.CHECKS,
)
ACROSS: Final = across.ACROSS
UNSEEN: Final = (
    "No check sees entries cut off a record's end (a head kept elsewhere does), what was typed and "
    "chained anew since somebody else last signed, a clock set wrong before the job, or two people "
    "who agree on an untruth."
)
"""What no record can show."""


def declared() -> tuple[Declared, ...]:
    """Return what every check says of itself."""
    return tuple(one.declared for one in (*CHECKS, *ACROSS))


def get(name: str) -> Declared:
    """Return a check by its id.

    Raises:
        RefusedError: there is none.
    """
    for one in declared():
        if one.id == name:
            return one
    known = ", ".join(one.id for one in declared())
    raise RefusedError(f"There is no check {name[:60]!r}.", f"There are: {known}.")
