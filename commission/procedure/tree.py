"""The tree of an expression: one frozen node per construct of the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.quantities import Unit

FUNCTIONS: Final = ("min", "max", "abs", "round", "sqrt", "mean")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number, in SI, of the unit written behind it."""

    column: int
    si: float
    unit: Unit


@dataclass(frozen=True, slots=True)
class Literal:
    """A text or a truth as written."""

    column: int
    value: str | bool


@dataclass(frozen=True, slots=True)
class Name:
    """A declared name, dotted where it has parts."""

    column: int
    name: str


@dataclass(frozen=True, slots=True)
class Negative:
    """`-x`."""

    column: int
    operand: Node


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """`left sign right` with one of `+ - * /`."""

    column: int
    sign: str
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Power:
    """`base ** exponent`; the exponent is written out."""

    column: int
    base: Node
    exponent: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """`a < b <= c`: one sign between each two operands."""

    column: int
    signs: tuple[str, ...]
    operands: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Member:
    """`a in ('x', 'y')`, or `not in` where `negated`."""

    column: int
    operand: Node
    texts: tuple[str, ...]
    negated: bool


@dataclass(frozen=True, slots=True)
class Logic:
    """`and` or `or` between two or more."""

    column: int
    word: str
    operands: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """`not a`."""

    column: int
    operand: Node


@dataclass(frozen=True, slots=True)
class Either:
    """`a if condition else b`."""

    column: int
    condition: Node
    then: Node
    otherwise: Node


@dataclass(frozen=True, slots=True)
class Call:
    """One of the `FUNCTIONS` with what it is given; `digits` is round's second argument."""

    column: int
    function: str
    arguments: tuple[Node, ...]
    digits: int = 0


Node = (
    Quantity | Literal | Name | Negative | Arithmetic | Power | Comparison | Member | Logic | Not
    | Either | Call
)  # fmt: skip


def walk(node: Node) -> Iterator[Node]:
    """Yield a node and everything below it."""
    yield node
    match node:
        case Negative() | Member() | Not():
            inner: tuple[Node, ...] = (node.operand,)
        case Arithmetic():
            inner = (node.left, node.right)
        case Power():
            inner = (node.base,)
        case Comparison() | Logic():
            inner = node.operands
        case Either():
            inner = (node.condition, node.then, node.otherwise)
        case Call():
            inner = node.arguments
        case _:
            inner = ()
    for part in inner:
        yield from walk(part)
