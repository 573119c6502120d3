"""How often each sign is wrong and how often it sees what it is for, as measured and shipped.

The figures are in `signs.json`, made by `commission.practice.measured_signs`; nothing is measured
here.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import files
from math import sqrt
from typing import TYPE_CHECKING, Any, Final

from commission.audit.catalogue import declared
from commission.audit.shares import percent
from commission.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from commission.audit.check import Declared

_FILE: Final = "signs.json"
HONEST: Final = "honest"
_Z: Final = 1.959964
"""Two-sided 95 % of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A measured share with its uncertainty."""

    raised: int
    of: int

    @property
    def share(self) -> float:
        """The share itself."""
        return self.raised / self.of

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval by Wilson's score (NIST/SEMATECH e-Handbook, 7.2.4.1)."""
        share, count, square = self.share, self.of, _Z * _Z
        middle = (share + square / (2 * count)) / (1 + square / count)
        half = (
            _Z
            * sqrt(share * (1 - share) / count + square / (4 * count * count))
            / (1 + square / count)
        )
        low = 0.0 if self.raised == 0 else middle - half
        return max(0.0, low), 1.0 if self.raised == count else min(1.0, middle + half)


@dataclass(frozen=True, slots=True)
class Measured:
    """One sign."""

    sign: Declared
    per: str
    """`job` or `person`: what is counted."""
    false_alarms: Rate
    power: Mapping[str, Rate]
    """By kind of careless person."""
    is_current: bool
    """Whether the check is still of the version that was measured."""


@dataclass(frozen=True, slots=True)
class Signs:
    """All that was measured."""

    tool: str
    procedure: str
    revision: int
    people: int
    jobs_each: int
    hands: Mapping[str, str]
    """Kind of person to what it does."""
    measured: tuple[Measured, ...]


def signs() -> Signs:
    """Return what is shipped.

    Raises:
        RefusedError: the file is missing or damaged.
    """
    try:
        return from_data(json.loads((files("commission.audit") / _FILE).read_text("utf-8")))
    except (OSError, ValueError, KeyError, TypeError) as error:
        said = f"The measured signs cannot be read ({error!r})."
        raise RefusedError(said, "Install the program again.") from error


def from_data(data: Mapping[str, Any]) -> Signs:
    """Return what a file says, the signs in the order of the catalogue.

    Raises:
        KeyError: something is missing in it.
    """
    known = data["signs"]
    measured = tuple(
        _measured(one, known[one.id]) for one in declared() if one.is_sign and one.id in known
    )
    return Signs(
        data["tool"], data["procedure"], data["revision"], data["people"], data["jobs_each"],
        data["hands"], measured,
    )  # fmt: skip


def _measured(sign: Declared, data: Mapping[str, Any]) -> Measured:
    rates = {name: Rate(raised, data["of"]) for name, raised in data["raised"].items()}
    false_alarms = rates.pop(HONEST)
    return Measured(sign, data["per"], false_alarms, rates, data["version"] == sign.version)


def page(found: Signs) -> Iterator[str]:
    """Yield the page about the signs, line by line, as plain text."""
    yield "What each sign is worth"
    yield ""
    yield (
        f"Measured on made-up people at virtual bikes, {found.people} of each kind with "
        f"{found.jobs_each} jobs each,"
    )
    yield f"by {found.procedure} revision {found.revision} ({found.tool})."
    yield "How long people take is assumed, not observed; real people differ more than these."
    yield "Nobody honest here reads faster than in 7 s, and no clock jumps: the false alarms of the"
    yield "signs in times and clocks are the least to be expected."
    yield "A sign says: look again. It never says that somebody did wrong."
    yield ""
    yield from (f"  {name:12} {what}" for name, what in found.hands.items())
    for one in found.measured:
        yield ""
        old = "" if one.is_current else "  (measured for an earlier version of the check)"
        yield f"{one.sign.id}  {one.sign.title}{old}"
        yield f"  {one.sign.looks_for}"
        yield f"  False alarms: {rate_text(one.false_alarms)} of honest {one.per}s"
        seen = {name: rate for name, rate in one.power.items() if rate.raised}
        for name, rate in seen.items():
            yield f"  Sees {name}: {rate_text(rate)} of {one.per}s"
        unseen = [name for name in one.power if name not in seen]
        if unseen:
            yield f"  Does not see: {', '.join(unseen)}"
    yield ""
    yield "Made again by: python -m commission.practice.measured_signs"


def rate_text(rate: Rate) -> str:
    """Return a rate with its interval: `1.3 % (0.7 to 2.2 %)`."""
    low, high = rate.interval
    return f"{percent(rate.raised, rate.of, 1)} ({100 * low:.1f} to {100 * high:.1f} %)"
