"""The small typed language of procedures: `series * 3.0[V]`, `lever == 'regen' and pack > 60[V]`.

A number's unit stands in brackets after it. Names are declared ones, dotted where a step or a
setting knows several values. Types are `Number` (with a dimension; a *point* where its zero is a
scale's own, as in degC), `Numbers`, `Text` and `Truth`. Values are SI floats, tuples of them,
strings and booleans.

`syntax` reads the text, `inference` finds its type, `evaluation` its value.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from commission.procedure import evaluation, inference, syntax
from commission.procedure.tree import Name, Node, walk
from commission.procedure.value_types import (
    ExpressionError,
    Number,
    Numbers,
    Text,
    Truth,
    Type,
    UnknownValueError,
    Value,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "Expression", "ExpressionError", "Number", "Numbers", "Text", "Truth", "Type",
    "UnknownValueError", "Value", "parse", "quoted", "with_choices",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Expression:
    """A parsed expression; make it with `parse`."""

    source: str
    names: frozenset[str]
    """The dotted names it rests on."""
    tree: Node = field(repr=False, compare=False)
    _run: evaluation.Run = field(repr=False, compare=False)

    def type_in(self, names: Mapping[str, Type]) -> Type:
        """Return its type, or raise `ExpressionError` (unknown name, types, dimensions)."""
        return inference.type_of(self.tree, names)

    def evaluate(self, values: Mapping[str, Value]) -> Value:
        """Return its value in SI.

        Raises:
            UnknownValueError: a name has no value yet.
            ExpressionError: there is no value: a division by zero, too large a number.
        """
        return evaluation.guarded(self._run, values)


def parse(source: str | float | bool) -> Expression:  # noqa: FBT001  YAML gives truths too
    """Return the expression, or raise `ExpressionError` with the column; cached by source."""
    if isinstance(source, bool):
        return _parse("true" if source else "false")
    return _parse(source if isinstance(source, str) else repr(source))


@functools.lru_cache(maxsize=8192)
def _parse(source: str) -> Expression:
    tree = syntax.read(source)
    names = frozenset(node.name for node in walk(tree) if isinstance(node, Name))
    return Expression(source, names, tree, evaluation.function_of(tree))


def quoted(text: str) -> str:
    """Return the expression whose value is `text`; texts with both quotation marks have none."""
    return f'"{text}"' if "'" in text else f"'{text}'"


def with_choices(source: str | float | bool, choices: Sequence[str]) -> Expression:  # noqa: FBT001
    """Return the expression, where one of the choices may stand as written, without quotes."""
    return parse(quoted(source) if isinstance(source, str) and source in choices else source)
