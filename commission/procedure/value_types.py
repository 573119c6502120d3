"""The types that expressions work with, and how they refuse.

A `Number` carries a dimension; it is a *point* where its zero is a scale's own, as in degC.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from commission.errors import ProcedureError
from commission.quantities import DIMENSIONLESS, Dimension

Value = float | tuple[float, ...] | str | bool
"""What an expression works on and gives: SI float, SI floats, text or truth."""


@dataclass(frozen=True, slots=True)
class Number:
    """A real number with a dimension; `point` where it is a temperature on a scale."""

    dimension: Dimension = DIMENSIONLESS
    point: bool = False

    def __str__(self) -> str:
        return f"{dimension_words(self.dimension)} on a scale" if self.point else _number(self)


@dataclass(frozen=True, slots=True)
class Numbers:
    """Several real numbers of one dimension: the runs of a series."""

    dimension: Dimension = DIMENSIONLESS
    point: bool = False

    def __str__(self) -> str:
        return f"several values ({dimension_words(self.dimension)})"


@dataclass(frozen=True, slots=True)
class Text:
    """A text: a choice, a serial number. `choices` is empty where any text is possible."""

    choices: tuple[str, ...] = ()

    def __str__(self) -> str:
        if not self.choices:
            return "text"
        return "text, one of " + ", ".join(f"'{choice}'" for choice in self.choices)


@dataclass(frozen=True, slots=True)
class Truth:
    """True or false."""

    def __str__(self) -> str:
        return "true or false"


Type = Number | Numbers | Text | Truth


class UnknownValueError(Exception):
    """A declared name that has no value yet; `name` says which."""

    def __init__(self, name: str) -> None:
        """Keep the dotted name."""
        super().__init__(f"{name} has no value yet.")
        self.name = name


class ExpressionError(ProcedureError):
    """An expression that cannot be read, has no sound type, or has no value.

    `column` is the place in the expression, counted from 1; 0 where no single place is at fault.
    """

    def __init__(self, message: str, column: int = 0, hint: str = "") -> None:
        """Keep the sentence, its place and the advice apart."""
        super().__init__(message, hint)
        self.column = column


def _number(number: Number) -> str:
    if number.dimension == DIMENSIONLESS:
        return "a plain number"
    return dimension_words(number.dimension)


_NAMED: Final[dict[tuple[float, ...], str]] = {
    (0, 0, 0, 0, 0, 0, 0): "a plain number",
    (1, 0, 0, 0, 0, 0, 0): "a length",
    (2, 0, 0, 0, 0, 0, 0): "an area",
    (0, 1, 0, 0, 0, 0, 0): "a mass",
    (0, 0, 1, 0, 0, 0, 0): "a time",
    (0, 0, -1, 0, 0, 0, 0): "a frequency or rotational speed",
    (1, 0, -1, 0, 0, 0, 0): "a speed",
    (0, 0, 0, 1, 0, 0, 0): "a current",
    (0, 0, 1, 1, 0, 0, 0): "a charge",
    (0, 0, 0, 0, 1, 0, 0): "a temperature",
    (1, 1, -2, 0, 0, 0, 0): "a force",
    (2, 1, -2, 0, 0, 0, 0): "an energy or torque",
    (2, 1, -3, 0, 0, 0, 0): "a power",
    (-1, 1, -2, 0, 0, 0, 0): "a pressure",
    (2, 1, -3, -1, 0, 0, 0): "a voltage",
    (2, 1, -3, -2, 0, 0, 0): "a resistance",
    (1, 1, -3, -2, 0, 0, 0): "a resistance per length",
    (-2, -1, 4, 2, 0, 0, 0): "a capacitance",
    (2, 1, -2, -2, 0, 0, 0): "an inductance",
    (2, 1, -2, -1, 0, 0, 0): "a magnetic flux",
}
_BASE_UNITS: Final = ("m", "kg", "s", "A", "K", "cd", "mol")


def dimension_words(dimension: Dimension) -> str:
    """Return a dimension in words: `a voltage`, or in base units where it has no name."""
    named = _NAMED.get(tuple(dimension))
    if named:
        return named
    powers = zip(_BASE_UNITS, dimension, strict=True)
    return "·".join(unit if power == 1 else f"{unit}^{power:g}" for unit, power in powers if power)
