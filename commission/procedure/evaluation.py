"""From a tree to a function of values, in SI floats; a microsecond or so per call.

Numbers that agree to twelve digits count as equal in comparisons: `cells * 4.2[V] <= 58.8[V]`
holds for 14 cells although the product in binary floats lies a hair above.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from commission.procedure import tree
from commission.procedure.value_types import ExpressionError, UnknownValueError, Value

if TYPE_CHECKING:
    from commission.procedure.tree import Node

Values = Mapping[str, Value]
Run = Callable[[Values], Any]
"""Values are checked for their types at load, so that none is looked at twice here."""

_SAME_TO: Final = 1e-12


def function_of(node: Node) -> Run:
    """Return the function that computes a tree.

    The function raises what Python raises on bad values; `guarded` turns that into refusals.
    """
    return _BUILDERS[type(node)](node)


def guarded(run: Run, values: Values) -> Value:
    """Return the value, or refuse: there is no answer that is not a finite number.

    Raises:
        UnknownValueError: a name has no value yet.
        ExpressionError: division by zero, a root of a negative number, too large a number.
    """
    try:
        value: Value = run(values)
    except ZeroDivisionError as error:
        raise ExpressionError("divides by zero with these values") from error
    except (OverflowError, ValueError, TypeError) as error:
        raise ExpressionError("has no value with these values") from error
    if isinstance(value, float) and not math.isfinite(value):
        raise ExpressionError("gives too large a number with these values")
    return value


def _constant(value: Value) -> Run:
    return lambda _: value


def _quantity(node: tree.Quantity) -> Run:
    return _constant(node.si)


def _literal(node: tree.Literal) -> Run:
    return _constant(node.value)


def _name(node: tree.Name) -> Run:
    name = node.name

    def look_up(values: Values) -> Value:
        try:
            return values[name]
        except KeyError:
            raise UnknownValueError(name) from None

    return look_up


def _negative(node: tree.Negative) -> Run:
    inner = function_of(node.operand)
    return lambda values: -inner(values)


def _arithmetic(node: tree.Arithmetic) -> Run:
    left, right = function_of(node.left), function_of(node.right)
    match node.sign:
        case "+":
            return lambda values: left(values) + right(values)
        case "-":
            return lambda values: left(values) - right(values)
        case "*":
            return lambda values: left(values) * right(values)
        case _:
            return lambda values: left(values) / right(values)


def _power(node: tree.Power) -> Run:
    base, exponent = function_of(node.base), node.exponent
    return lambda values: float(base(values)) ** exponent


def _same(left: Value, right: Value) -> bool:
    if not isinstance(left, float | int) or not isinstance(right, float | int):
        return left == right
    return math.isclose(left, right, rel_tol=_SAME_TO)


_COMPARE: Final[dict[str, Callable[[Any, Any], bool]]] = {
    "==": _same,
    "!=": lambda left, right: not _same(left, right),
    "<": lambda left, right: left < right and not _same(left, right),
    ">": lambda left, right: left > right and not _same(left, right),
    "<=": lambda left, right: left <= right or _same(left, right),
    ">=": lambda left, right: left >= right or _same(left, right),
}


def _comparison(node: tree.Comparison) -> Run:
    first, *others = (function_of(operand) for operand in node.operands)
    links = tuple(zip((_COMPARE[sign] for sign in node.signs), others, strict=True))

    def compare(values: Values) -> bool:
        left = first(values)
        for holds, other in links:
            right = other(values)
            if not holds(left, right):
                return False
            left = right
        return True

    return compare


def _member(node: tree.Member) -> Run:
    inner, texts = function_of(node.operand), frozenset(node.texts)
    if node.negated:
        return lambda values: inner(values) not in texts
    return lambda values: inner(values) in texts


def _logic(node: tree.Logic) -> Run:
    operands = tuple(function_of(operand) for operand in node.operands)
    if node.word == "and":
        return lambda values: all(operand(values) for operand in operands)
    return lambda values: any(operand(values) for operand in operands)


def _not(node: tree.Not) -> Run:
    inner = function_of(node.operand)
    return lambda values: not inner(values)


def _either(node: tree.Either) -> Run:
    condition, then = function_of(node.condition), function_of(node.then)
    otherwise = function_of(node.otherwise)
    return lambda values: then(values) if condition(values) else otherwise(values)


def _call(node: tree.Call) -> Run:
    first = function_of(node.arguments[0])
    match node.function:
        case "abs":
            return lambda values: abs(first(values))
        case "sqrt":
            return lambda values: math.sqrt(first(values))
        case "round":
            digits = node.digits
            return lambda values: float(round(first(values), digits))
    gather = _GATHER[node.function]
    if len(node.arguments) == 1:
        return lambda values: gather(_several(first(values)))
    parts = tuple(function_of(part) for part in node.arguments)
    return lambda values: gather([part(values) for part in parts])


def _several(value: float | tuple[float, ...]) -> tuple[float, ...]:
    return value if isinstance(value, tuple) else (value,)


def _mean(numbers: tuple[float, ...]) -> float:
    return math.fsum(numbers) / len(numbers)


_GATHER: Final[dict[str, Callable[[Any], float]]] = {"min": min, "max": max, "mean": _mean}
_BUILDERS: Final[dict[type, Callable[[Any], Run]]] = {
    tree.Quantity: _quantity, tree.Literal: _literal, tree.Name: _name,
    tree.Negative: _negative, tree.Arithmetic: _arithmetic, tree.Power: _power,
    tree.Comparison: _comparison, tree.Member: _member, tree.Logic: _logic,
    tree.Not: _not, tree.Either: _either, tree.Call: _call,
}  # fmt: skip
