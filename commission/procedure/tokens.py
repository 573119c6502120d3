"""The tokens of an expression: units masked so that `ast` can read the text, and names replaced.

Masking goes character by character, so that columns stay true.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NoReturn

from commission.procedure.value_types import ExpressionError

if TYPE_CHECKING:
    from collections.abc import Mapping

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?"
_TOKEN: Final = re.compile(
    rf"""(?P<space>\s+)
    |(?P<quantity>{_NUMBER}(?![\w.]))(?:\s*\[(?P<unit>[^\[\]]*)\])?
    |(?P<name>[A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z_][A-Za-z0-9_]*)*)(?!['"])
    |(?P<text>'[^'\\\n]*'|"[^"\\\n]*")
    |(?P<sign>\*\*|<=|>=|==|!=|[-+*/(),<>])""",
    re.VERBOSE,
)
_NEVER_NEXT: Final = {("text", "text"), ("quantity", "name"), ("unit", "name")}
_WORDS: Final = {"and", "or", "not", "in", "if", "else"}


def mask(source: str) -> tuple[str, dict[int, str]]:
    """Return the text with units hidden as spaces, and the unit behind each number's column."""
    pieces: list[str] = []
    units: dict[int, str] = {}
    position, before = 0, ""
    while position < len(source):
        match = _TOKEN.match(source, position)
        kind = match.lastgroup if match else ""
        if match is None or ((before, kind) in _NEVER_NEXT and match[0] not in _WORDS):
            _refuse_token(source, position, before)
        if kind == "unit":
            units[position] = match["unit"].strip()
            number = match["quantity"]
            pieces.append(number + " " * (len(match[0]) - len(number)))
        else:
            pieces.append(" " * len(match[0]) if kind == "space" else match[0])
        before = before if kind == "space" else kind or ""
        position = match.end()
    return "".join(pieces), units


def _refuse_token(source: str, position: int, before: str) -> NoReturn:
    rest, column = source[position:], position + 1
    if before == "quantity" and (match := re.match(r"[A-Za-z_][\w/]*", rest)):
        raise ExpressionError(
            "a name right after a number", column,
            f"A unit stands in brackets, as in 3.0[{match[0][:20]}].",
        )  # fmt: skip
    if match := re.match(rf"({_NUMBER})\s*([^\W\d][\w/]*)", rest):
        raise ExpressionError(
            f"{match[0][:40]!r} is neither a number nor a name", column,
            f"A unit stands in brackets: {match[1]}[{match[2][:20]}].",
        )  # fmt: skip
    if rest[0] == "[":
        raise ExpressionError(
            "brackets without a number before them", column, "A unit follows a number: 3.0[V]."
        )
    if rest[0] in "'\"":
        raise ExpressionError("a text that does not end", column, "Close it with the same mark.")
    if rest[0] == "=":
        raise ExpressionError("a single =", column, "Compare with ==.")
    raise ExpressionError(f"{rest[0]!r} has no meaning here", column)


def renamed(source: str, new: Mapping[str, str]) -> str:
    """Return the expression with the first part of its names replaced as `new` says.

    Works on tokens, so that texts in quotes and units stay; what is no token is kept as it is.
    """
    pieces: list[str] = []
    position = 0
    while position < len(source):
        match = _TOKEN.match(source, position)
        if match is None:
            end = source.find("}", position) + 1 if source.startswith("${", position) else 0
            end = end or position + 1
            pieces.append(source[position:end])
            position = end
            continue
        found = match[0]
        if match.lastgroup == "name":
            first, dot, rest = found.partition(".")
            found = new.get(first, first) + dot + rest
        pieces.append(found)
        position = match.end()
    return "".join(pieces)
