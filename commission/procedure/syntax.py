"""From the text of an expression to its tree: what `ast` reads, and what of it is allowed.

A number's unit is masked by `tokens` before `ast` sees the text, and put back into the tree. What
is not listed here does not exist in the language.
"""

from __future__ import annotations

import ast
import difflib
import math
import re
from typing import TYPE_CHECKING, Any, Final

from commission.errors import QuantityError
from commission.procedure.tokens import mask
from commission.procedure.tree import (
    FUNCTIONS,
    Arithmetic,
    Call,
    Comparison,
    Either,
    Literal,
    Logic,
    Member,
    Name,
    Negative,
    Node,
    Not,
    Power,
    Quantity,
)
from commission.procedure.value_types import ExpressionError
from commission.quantities import unit

if TYPE_CHECKING:
    from collections.abc import Callable

LONGEST: Final = 500
"""Characters in an expression."""
DEEPEST: Final = 32
"""Levels of a tree."""
LARGEST_EXPONENT: Final = 8
_FUNCTIONS: Final = ", ".join(FUNCTIONS)


_ARITHMETIC: Final[dict[type[ast.operator], str]] = {
    ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/",
}  # fmt: skip
_COMPARISONS: Final[dict[type[ast.cmpop], str]] = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=",
}  # fmt: skip
_TRUTHS: Final = {"true": True, "false": False, "True": True, "False": False}


def read(source: str) -> Node:
    """Return the tree of an expression.

    Raises:
        ExpressionError: the text is no expression of this language; says where.
    """
    if len(source) > LONGEST:
        raise ExpressionError(f"longer than {LONGEST} characters", 1, "Split it over calculations.")
    masked, units = mask(source)
    text = masked.lstrip()
    if not text:
        raise ExpressionError("empty", 1, "Write an expression, such as 3.0[V] * cells.")
    reader = _Reader(masked, len(masked) - len(text), units)
    try:
        parsed = ast.parse(text, mode="eval")
    except SyntaxError as error:
        column = (error.offset or 1) + reader.shift
        hint = "Compare with ==." if re.search(r"(?<![<>=!])=(?!=)", source) else ""
        raise ExpressionError("not an expression", min(column, len(source) + 1), hint) from error
    except (ValueError, MemoryError, RecursionError) as error:
        raise ExpressionError("not an expression", 1) from error
    return reader.node(parsed.body, 0)


class _Reader:
    """Turns what `ast` read into our nodes, and refuses the rest."""

    def __init__(self, masked: str, shift: int, units: dict[int, str]) -> None:
        """Keep the masked text (for columns) and the units by the place of their number."""
        self.masked, self.shift, self.units = masked, shift, units
        self.plain = masked.isascii()

    def place(self, node: ast.expr) -> int:
        """Return where a node starts in the source, from 0; `ast` counts bytes."""
        offset = node.col_offset
        if not self.plain:
            offset = len(self.masked[self.shift :].encode()[:offset].decode(errors="ignore"))
        return offset + self.shift

    def node(self, node: ast.expr, depth: int) -> Node:
        """Return our node for this one."""
        column = self.place(node) + 1
        if depth >= DEEPEST:
            raise ExpressionError(f"deeper than {DEEPEST} levels", column, "Split it up.")
        read = _READERS.get(type(node))
        if read is None:
            raise ExpressionError(
                f"{type(node).__name__.lower()} is not part of this language", column,
                f"There are + - * / **, comparisons, and, or, not, if-else, {_FUNCTIONS}.",
            )  # fmt: skip
        return read(self, node, column, depth + 1)

    def constant(self, node: ast.Constant, column: int, _: int) -> Node:
        """Read a number with its unit, a text or a truth."""
        value = node.value
        if isinstance(value, bool | str):
            return Literal(column, value)
        if not isinstance(value, int | float):
            raise ExpressionError(f"{value!r} has no meaning here", column)
        try:
            measure = unit(self.units.get(column - 1, ""))
            si = measure.to_si(float(value))
        except QuantityError as error:
            raise ExpressionError(error.message.rstrip("."), column, error.hint) from error
        except OverflowError as error:
            raise ExpressionError("too large a number", column) from error
        if not math.isfinite(si):
            raise ExpressionError("too large a number", column)
        return Quantity(column, si, measure)

    def name(self, node: ast.Name | ast.Attribute, column: int, _: int) -> Node:
        """Read a name with up to two dots."""
        parts: list[str] = []
        inner: ast.expr = node
        while isinstance(inner, ast.Attribute):
            parts.append(inner.attr)
            inner = inner.value
        if not isinstance(inner, ast.Name):
            raise ExpressionError("a dot after something that is no name", column)
        dotted = ".".join((inner.id, *reversed(parts)))
        if dotted in _TRUTHS:
            return Literal(column, _TRUTHS[dotted])
        if len(parts) > 2:  # noqa: PLR2004  step.column.spread is the longest
            raise ExpressionError(f"{dotted!r} has more than two dots", column)
        return Name(column, dotted)

    def unary(self, node: ast.UnaryOp, column: int, depth: int) -> Node:
        """Read `-a`, `+a` or `not a`."""
        operand = self.node(node.operand, depth)
        if isinstance(node.op, ast.Not):
            return Not(column, operand)
        if isinstance(node.op, ast.USub):
            if isinstance(operand, Quantity) and operand.unit.is_point:
                # -5[degC] is five degrees below zero, not minus 278.15 kelvin.
                number = -operand.unit.from_si(operand.si)
                return Quantity(column, operand.unit.to_si(number), operand.unit)
            return Negative(column, operand)
        return operand

    def binary(self, node: ast.BinOp, column: int, depth: int) -> Node:
        """Read arithmetic on two operands."""
        if isinstance(node.op, ast.Pow):
            base = self.node(node.left, depth)
            return Power(column, base, self._exponent(node.right, depth))
        sign = _ARITHMETIC.get(type(node.op))
        if sign is None:
            raise ExpressionError("whole-number division is not part of this language", column)
        left, right = self.node(node.left, depth), self.node(node.right, depth)
        return Arithmetic(column, sign, left, right)

    def _exponent(self, node: ast.expr, depth: int) -> int:
        column = self.place(node) + 1
        number = _whole(self.node(node, depth))
        if number is None or abs(number) > LARGEST_EXPONENT:
            raise ExpressionError(
                f"an exponent that is not a whole number from -{LARGEST_EXPONENT} to "
                f"{LARGEST_EXPONENT}", column,
            )  # fmt: skip
        return number

    def compare(self, node: ast.Compare, column: int, depth: int) -> Node:
        """Read a chain of comparisons, or one `in`."""
        if isinstance(node.ops[0], ast.In | ast.NotIn):
            return self._member(node, column, depth)
        signs = []
        for operation in node.ops:
            sign = _COMPARISONS.get(type(operation))
            if sign is None:
                raise ExpressionError("a comparison with `in` or `is` inside a chain", column)
            signs.append(sign)
        operands = tuple(self.node(part, depth) for part in (node.left, *node.comparators))
        return Comparison(column, tuple(signs), operands)

    def _member(self, node: ast.Compare, column: int, depth: int) -> Node:
        group = node.comparators[0]
        texts = group.elts if isinstance(group, ast.Tuple) else ()
        values = [item.value for item in texts if isinstance(item, ast.Constant)]
        names = tuple(value for value in values if isinstance(value, str))
        if len(node.ops) > 1 or not names or len(names) != len(texts):
            raise ExpressionError(
                "`in` without a group of texts", column, "Write: mode in ('eco', 'sport')."
            )
        negated = isinstance(node.ops[0], ast.NotIn)
        return Member(column, self.node(node.left, depth), names, negated)

    def logic(self, node: ast.BoolOp, column: int, depth: int) -> Node:
        """Read `and` or `or`."""
        word = "and" if isinstance(node.op, ast.And) else "or"
        return Logic(column, word, tuple(self.node(part, depth) for part in node.values))

    def either(self, node: ast.IfExp, column: int, depth: int) -> Node:
        """Read `a if condition else b`."""
        parts = (node.test, node.body, node.orelse)
        return Either(column, *(self.node(part, depth) for part in parts))

    def call(self, node: ast.Call, column: int, depth: int) -> Node:
        """Read a call of one of the functions there are."""
        function = node.func.id if isinstance(node.func, ast.Name) else ""
        if function not in FUNCTIONS:
            near = difflib.get_close_matches(function, FUNCTIONS, n=1)
            hint = f"Did you mean {near[0]}?" if near else f"There are {_FUNCTIONS}."
            raise ExpressionError(f"{function or 'this'!r} is not a function", column, hint)
        if node.keywords or not node.args:
            raise ExpressionError(f"{function} takes one or more values in brackets", column)
        arguments = tuple(self.node(part, depth) for part in node.args)
        if function == "round" and len(arguments) == 2:  # noqa: PLR2004  value and digits
            digits = _whole(arguments[1])
            if digits is None or not 0 <= digits <= LARGEST_EXPONENT:
                raise ExpressionError("round's digits are a whole number from 0 to 8", column)
            return Call(column, function, arguments[:1], digits)
        if function in ("abs", "round", "sqrt") and len(arguments) != 1:
            raise ExpressionError(f"{function} takes one value, got {len(arguments)}", column)
        return Call(column, function, arguments)


def _whole(node: Node) -> int | None:
    """Return the whole number a node is, where it is one written out."""
    if isinstance(node, Negative):
        inner = _whole(node.operand)
        return None if inner is None else -inner
    if isinstance(node, Quantity) and not node.unit.text and node.si == int(node.si):
        return int(node.si)
    return None


_READERS: Final[dict[type[ast.expr], Callable[[_Reader, Any, int, int], Node]]] = {
    ast.Constant: _Reader.constant, ast.Name: _Reader.name, ast.Attribute: _Reader.name,
    ast.UnaryOp: _Reader.unary, ast.BinOp: _Reader.binary, ast.Compare: _Reader.compare,
    ast.BoolOp: _Reader.logic, ast.IfExp: _Reader.either, ast.Call: _Reader.call,
}  # fmt: skip
