"""The type of an expression: names known, kinds fitting, dimensions right, choices possible."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final, NoReturn

from commission.procedure import tree
from commission.procedure.value_types import (
    ExpressionError,
    Number,
    Numbers,
    Text,
    Truth,
    Type,
)
from commission.quantities import DIMENSIONLESS, Dimension

if TYPE_CHECKING:
    from commission.procedure.tree import Node

Names = Mapping[str, Type]


def type_of(node: Node, names: Names) -> Type:
    """Return the type of a tree over these names.

    Raises:
        ExpressionError: a name is unknown, or types, dimensions or choices do not fit.
    """
    return _RULES[type(node)](node, names)


def _quantity(node: tree.Quantity, _: Names) -> Type:
    return Number(node.unit.dimension, node.unit.is_point)


def _literal(node: tree.Literal, _: Names) -> Type:
    return Text((node.value,)) if isinstance(node.value, str) else Truth()


def _name(node: tree.Name, names: Names) -> Type:
    known = names.get(node.name)
    if known is None:
        raise ExpressionError(
            f"{node.name!r} is not a declared name", node.column, _nearest(node.name, names)
        )
    return known


def _nearest(name: str, names: Names) -> str:
    parts = sorted(known for known in names if known.startswith(f"{name}."))
    if parts:
        return f"It has parts: {', '.join(parts[:6])}."
    near = difflib.get_close_matches(name, names, n=2, cutoff=0.6)
    if near:
        return f"Did you mean {' or '.join(near)}?"
    return f"If it is meant as a text, quote it: '{name}'."


def _number(node: Node, names: Names, doing: str) -> Number:
    """Return the type of an operand that must be one number."""
    found = type_of(node, names)
    if not isinstance(found, Number):
        hint = "Use mean(), min() or max()." if isinstance(found, Numbers) else ""
        raise ExpressionError(f"{doing} needs a number, got {found}", node.column, hint)
    return found


def _amount(node: Node, names: Names, doing: str) -> Number:
    """Return the type of an operand that must be a number counted from a true zero."""
    found = _number(node, names, doing)
    if found.point:
        raise ExpressionError(
            f"{doing} with a temperature on a scale has no meaning", node.column,
            "Take a difference first: a - 0[degC], or write it in K.",
        )  # fmt: skip
    return found


def _truth(node: Node, names: Names, doing: str) -> None:
    found = type_of(node, names)
    if not isinstance(found, Truth):
        raise ExpressionError(f"{doing} needs true or false, got {found}", node.column)


def _negative(node: tree.Negative, names: Names) -> Type:
    return _amount(node.operand, names, "a minus sign")


def _arithmetic(node: tree.Arithmetic, names: Names) -> Type:
    if node.sign in "*/":
        doing = "multiplying" if node.sign == "*" else "dividing"
        left, right = (_amount(part, names, doing) for part in (node.left, node.right))
        factor = 1 if node.sign == "*" else -1
        return Number(_combine(left.dimension, right.dimension, factor))
    doing = "adding" if node.sign == "+" else "subtracting"
    left, right = (_number(part, names, doing) for part in (node.left, node.right))
    _same_dimension(left, right, node.right, doing)
    if node.sign == "+":
        if left.point and right.point:
            _refuse_points(node, "two temperatures on a scale cannot be added")
        return Number(left.dimension, left.point or right.point)
    if right.point and not left.point:
        _refuse_points(node, "a temperature on a scale cannot be taken from a difference")
    return Number(left.dimension, left.point and not right.point)


def _refuse_points(node: tree.Arithmetic, what: str) -> NoReturn:
    raise ExpressionError(what, node.column, "Write the difference in K: 25[degC] + 5[K].")


def _same_dimension(left: Number, right: Number, at: Node, doing: str) -> None:
    if left.dimension != right.dimension:
        hint = "Give the plain number a unit: 0[V]." if DIMENSIONLESS in (
            left.dimension, right.dimension
        ) else ""  # fmt: skip
        raise ExpressionError(f"{doing} {left} and {right}", at.column, hint)


def _combine(left: Dimension, right: Dimension, factor: float) -> Dimension:
    return Dimension(tuple(a + factor * b for a, b in zip(left, right, strict=True)))


def _power(node: tree.Power, names: Names) -> Type:
    base = _amount(node.base, names, "a power")
    return Number(Dimension(tuple(part * node.exponent for part in base.dimension)))


def _comparison(node: tree.Comparison, names: Names) -> Type:
    types = [type_of(operand, names) for operand in node.operands]
    for index, sign in enumerate(node.signs):
        _comparable(types[index], types[index + 1], sign, node.operands[index + 1])
    return Truth()


def _comparable(left: Type, right: Type, sign: str, at: Node) -> None:
    """Refuse a comparison that could only be a mistake."""
    if isinstance(left, Number) and isinstance(right, Number):
        _same_dimension(left, right, at, "comparing")
        return
    if sign not in ("==", "!=") or isinstance(left, Numbers) or type(left) is not type(right):
        raise ExpressionError(f"comparing {left} with {right} by {sign}", at.column)
    if isinstance(left, Text) and isinstance(right, Text):
        _possible(left, right, at)


def _possible(left: Text, right: Text, at: Node) -> None:
    """Refuse texts that can never be equal: a choice that does not exist."""
    if not left.choices or not right.choices or set(left.choices) & set(right.choices):
        return
    wanted, known = (left, right) if len(left.choices) < len(right.choices) else (right, left)
    near = difflib.get_close_matches(wanted.choices[0], known.choices, n=1, cutoff=0.5)
    listed = ", ".join(f"'{choice}'" for choice in known.choices)
    raise ExpressionError(
        f"'{wanted.choices[0]}' is not among the choices {listed}", at.column,
        f"Did you mean '{near[0]}'?" if near else "",
    )  # fmt: skip


def _member(node: tree.Member, names: Names) -> Type:
    found = type_of(node.operand, names)
    if not isinstance(found, Text):
        raise ExpressionError(f"`in` needs a text, got {found}", node.column)
    for text in node.texts:
        _possible(Text((text,)), found, node)
    return Truth()


def _logic(node: tree.Logic, names: Names) -> Type:
    for operand in node.operands:
        _truth(operand, names, f"`{node.word}`")
    return Truth()


def _not(node: tree.Not, names: Names) -> Type:
    _truth(node.operand, names, "`not`")
    return Truth()


def _either(node: tree.Either, names: Names) -> Type:
    _truth(node.condition, names, "`if`")
    return _union(
        [type_of(node.then, names), type_of(node.otherwise, names)], node.otherwise, "`if` gives"
    )


def _union(types: list[Type], at: Node, doing: str) -> Type:
    """Return the one type that all of these have."""
    first = types[0]
    for other in types[1:]:
        if isinstance(first, Number) and isinstance(other, Number):
            _same_dimension(first, other, at, doing)
            first = Number(first.dimension, first.point or other.point)
        elif isinstance(first, Text) and isinstance(other, Text):
            known = first.choices and other.choices
            first = Text(tuple(dict.fromkeys(first.choices + other.choices)) if known else ())
        elif type(first) is not type(other):
            raise ExpressionError(f"{doing} {first} or {other}", at.column)
    return first


def _call(node: tree.Call, names: Names) -> Type:
    first = node.arguments[0]
    if node.function == "sqrt":
        root = _amount(first, names, "sqrt")
        return Number(Dimension(tuple(part / 2 for part in root.dimension)))
    if node.function == "abs":
        return _amount(first, names, "abs")
    if node.function == "round":
        found = _amount(first, names, "round")
        if found.dimension != DIMENSIONLESS:
            raise ExpressionError(
                f"round of {found}", first.column, "Round in a unit: round(a / 1[mm]) * 1[mm]."
            )
        return found
    return _gathered(node, names)


def _gathered(node: tree.Call, names: Names) -> Type:
    """Type min, max and mean: of several numbers, or of one series."""
    if len(node.arguments) == 1:
        found = type_of(node.arguments[0], names)
        if isinstance(found, Numbers):
            return Number(found.dimension, found.point)
    numbers: list[Type] = [_number(part, names, node.function) for part in node.arguments]
    return _union(numbers, node.arguments[-1], f"{node.function} of")


_RULES: Final[dict[type, Callable[[Any, Names], Type]]] = {
    tree.Quantity: _quantity, tree.Literal: _literal, tree.Name: _name,
    tree.Negative: _negative, tree.Arithmetic: _arithmetic, tree.Power: _power,
    tree.Comparison: _comparison, tree.Member: _member, tree.Logic: _logic,
    tree.Not: _not, tree.Either: _either, tree.Call: _call,
}  # fmt: skip
