"""What a cross-check is: the roles it needs, what it compares, and what it found.

A cross-check is a plain function from values by *role* (the part a value plays: `fuse_rating`) to
comparisons. It knows no procedure, no names of settings, no disk, clock or screen. Sums are done by
the declared calculators, so that their versions and sources come along.

Rules:
1. A finding is a comparison of two numbers that each say where they came from, never a permission.
2. Where a value is missing, the check *cannot be checked* and says what is missing; it never fits.
3. A value equal to its limit, but for the rounding of unit conversion, fits.
4. Values that have no result together are a conflict: they cannot all be right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from commission.calculators import catalogue

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from commission.calculators.base import Answer, Value

ROUNDING: Final = 1e-9
"""Relative difference that is no difference: unit conversion, never measurement."""
Needs = tuple["str | tuple[str, ...]", ...]
"""Roles a check cannot do without; a tuple inside means one of these."""


class Severity(StrEnum):
    """How a cross-check came out, worst first; the value is the word people see."""

    CONFLICT = "conflict"
    """The values cannot stand beside each other."""
    LOOK_AGAIN = "look again"
    """Nothing breaks, but one of the values does not do what its name says."""
    UNCHECKED = "cannot be checked"
    """A value is missing."""
    FITS = "fits"


ORDER: Final = tuple(Severity)


@dataclass(frozen=True, slots=True)
class Known:
    """A value with where it came from."""

    value: Value
    """SI float, text or truth."""
    origin: str
    """Such as `setting battery_current_limit, as written`."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison."""

    what: str
    """What the number is, as it stands inside a sentence."""
    value: float
    """SI."""
    origin: str = ""
    """Where it came from; empty for what is a rule and no value of this bike."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A number held against one or two others; `low` equal to `high` asks for equality."""

    left: Side
    unit: str
    low: Side | None = None
    high: Side | None = None
    broken: Severity = Severity.CONFLICT
    """What it is where it does not hold."""
    follows: str = ""
    """What follows where it does not hold."""
    do: str = ""
    """What to do then."""

    @property
    def room(self) -> float:
        """How far the number lies inside its nearest limit, in SI; negative outside."""
        below = math.inf if self.high is None else self.high.value - self.left.value
        above = math.inf if self.low is None else self.left.value - self.low.value
        return min(below, above)

    @property
    def holds(self) -> bool:
        """Whether the number keeps what it is held against."""
        sides = (self.left, self.low, self.high)
        largest = max(abs(side.value) for side in sides if side is not None)
        return self.room >= -ROUNDING * largest

    def record(self) -> dict[str, object]:
        """Return what the verdict follows from, as a check of a job's judgement."""
        return {
            "value": self.left.value,
            "low": None if self.low is None else self.low.value,
            "high": None if self.high is None else self.high.value,
            "unit": self.unit,
            "broken": self.broken.value,
        }


@dataclass(frozen=True, slots=True)
class Stated:
    """Two things that go together or do not, said in a sentence."""

    holds: bool
    said: str
    broken: Severity = Severity.CONFLICT
    follows: str = ""
    do: str = ""

    def record(self) -> dict[str, object]:
        """Return what the verdict follows from, as a check of a job's judgement."""
        return {"got": self.holds, "broken": self.broken.value}


Statement = Compared | Stated


class Asked:
    """The values a check may look at, and the calculators it used on the way."""

    def __init__(self, known: Mapping[str, Known], labels: Mapping[str, str]) -> None:
        """Look into `known`; `labels` name the roles in words."""
        self._known = known
        self._labels = labels
        self.calculators: dict[str, int] = {}
        self.warnings: list[str] = []

    def has(self, *roles: str) -> bool:
        """Return whether every role has a value."""
        return all(role in self._known for role in roles)

    def number(self, role: str) -> float:
        """Return a role's number in SI."""
        return float(self._known[role].value)  # type: ignore[arg-type]  # checked by the procedure

    def text(self, role: str) -> str:
        """Return a role's text."""
        return str(self._known[role].value)

    def truth(self, role: str) -> bool:
        """Return a role's truth."""
        return self._known[role].value is True

    def origin(self, *roles: str) -> str:
        """Return where the roles' values came from."""
        return "; ".join(
            dict.fromkeys(self._known[role].origin for role in roles if self.has(role))
        )

    def label(self, role: str) -> str:
        """Return a role in words."""
        return self._labels[role]

    def side(self, role: str) -> Side:
        """Return a role's number as one side of a comparison."""
        return Side(self._labels[role], self.number(role), self.origin(role))

    def amount(self, role: str) -> Side:
        """Return a role's number without its sign: many count a charging current as negative."""
        known = self.side(role)
        return Side(known.what, abs(known.value), known.origin)

    def rms(self, role: str) -> Side:
        """Return a phase current in A rms, whether it is known as rms or as `<role>_peak`."""
        peak = f"{role}_peak"
        if self.has(role):
            return self.side(role)
        known = self.side(peak)
        return Side(f"{self._labels[role]}, peak divided by √2", known.value / math.sqrt(2.0),
                    known.origin)  # fmt: skip

    def compute(self, calculator: str, **inputs: Value) -> Mapping[str, Answer]:
        """Return a calculator's outputs in SI, and keep that it was used.

        Raises:
            CalculationError: the values have no result together.
        """
        self.calculators[calculator] = catalogue.get(calculator).version
        result = catalogue.compute(calculator, inputs)
        self.warnings.extend(result.warnings)
        return result.outputs


@dataclass(frozen=True, slots=True, eq=False)
class CrossCheck:
    """A declared cross-check; make one with the decorator `cross_check`."""

    id: str
    """Lower case with hyphens; what records and programs say."""
    title: str
    needs: Needs
    source: str
    """Where the rule is from, with its strength."""
    function: Callable[[Asked], Iterator[Statement]] = field(repr=False)
    uses: tuple[str, ...] = ()
    """Roles that make it sharper and that it can do without."""
    calculators: tuple[str, ...] = ()
    version: int = 2
    """Raised whenever the same values would lead to another finding."""

    @property
    def roles(self) -> tuple[str, ...]:
        """Every role it can look at."""
        flat = (
            role for need in self.needs for role in ((need,) if isinstance(need, str) else need)
        )
        return (*flat, *self.uses)

    def missing(self, known: Mapping[str, Known]) -> tuple[str, ...]:
        """Return the roles without a value that it cannot do without."""
        lacking = []
        for need in self.needs:
            any_of = (need,) if isinstance(need, str) else need
            if not any(role in known for role in any_of):
                lacking.append(" or ".join(any_of))
        return tuple(lacking)


@dataclass(frozen=True, slots=True)
class Finding:
    """What one cross-check found."""

    check: CrossCheck
    severity: Severity
    statements: tuple[Statement, ...] = ()
    missing: tuple[str, ...] = ()
    """Roles without a value, where it cannot be checked."""
    impossible: str = ""
    """Why the values have no result together; empty where they have."""
    calculators: Mapping[str, int] = field(default_factory=dict)
    """The calculators used, with their versions."""
    warnings: tuple[str, ...] = ()


def cross_check(
    name: str,
    title: str,
    *,
    needs: Needs,
    source: str,
    uses: tuple[str, ...] = (),
    calculators: tuple[str, ...] = (),
    version: int = 2,
) -> Callable[[Callable[[Asked], Iterator[Statement]]], CrossCheck]:
    """Return the decorator that turns a function on values into a declared cross-check."""

    def declare(function: Callable[[Asked], Iterator[Statement]]) -> CrossCheck:
        return CrossCheck(name, title, needs, source, function, uses, calculators, version)

    return declare
