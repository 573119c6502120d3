"""The small typed language of procedures: `series * 3.0[V]`, `lever == 'regen' and pack > 60[V]`.

A number's unit stands in brackets after it. Names are declared ones, dotted where a step or a
setting knows several values. Types are `Number` (with a dimension; a *point* where its zero is a
scale's own, as in degC), `Numbers`, `Text` and `Truth`. Values are SI floats, tuples of them,
strings and booleans.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from commission.quantities import DIMENSIONLESS, Dimension

Value = float | tuple[float, ...] | str | bool
"""What an expression works on and gives: SI float, SI floats, text or truth."""


@dataclass(frozen=True, slots=True)
class Number:
    """A real number with a dimension; `point` where it is a temperature on a scale."""

    dimension: Dimension = DIMENSIONLESS
    point: bool = False


@dataclass(frozen=True, slots=True)
class Numbers:
    """Several real numbers of one dimension: the runs of a series."""

    dimension: Dimension = DIMENSIONLESS


@dataclass(frozen=True, slots=True)
class Text:
    """A text: a choice, a serial number. `choices` is empty where any text is possible."""

    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Truth:
    """True or false."""


Type = Number | Numbers | Text | Truth


class UnknownValueError(Exception):
    """A declared name that has no value yet; `name` says which."""


@dataclass(frozen=True, slots=True)
class Expression:
    """A parsed expression; make it with `parse`."""

    source: str
    names: frozenset[str]
    """The dotted names it rests on."""

    def type_in(self, names: Mapping[str, Type]) -> Type:
        """Return its type, or raise `ExpressionError` (unknown name, types, dimensions)."""
        raise NotImplementedError

    def evaluate(self, values: Mapping[str, Value]) -> Value:
        """Return its value in SI; raise `UnknownValueError` for a name without one yet."""
        raise NotImplementedError


def parse(source: str | float | bool) -> Expression:  # noqa: FBT001
    """Return the expression, or raise `ExpressionError` with the column; cached by source."""
    raise NotImplementedError
