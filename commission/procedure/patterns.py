"""Which regular expressions are safe to run on text that people type or scan.

A backtracking engine can take longer than anyone lives over `(a+)+$`. Rather than run against the
clock, patterns are held to forms whose work is bounded:

1. A repeated group holds nothing that varies in length and no alternative (`(ab|c)+`, `(a*)*`).
2. At most three repetitions without a small bound, so that the work grows with the cube of the
   length at most; the text is never longer than `LONGEST_TEXT`.
3. No back-reference.
"""

from __future__ import annotations

import re
from typing import Final

LONGEST_TEXT: Final = 200
_MOST_OPEN: Final = 3
_SMALL: Final = 16
"""A repetition whose bounds lie no further apart counts as bounded."""
_TOKEN: Final = re.compile(
    r"\\.|\[\^?\]?(?:\\.|[^\]\\])*\]|\((?:\?(?:[:=!>]|<[=!]|P?<\w+>))?|[*+?]|\{\d*,?\d*\}|.",
    re.DOTALL,
)
_BACK_REFERENCE: Final = re.compile(r"\\[1-9]|\(\?P=|\(\?\(")


def fault_of(pattern: str) -> str:
    """Return what is wrong with a pattern, as a sentence; empty where it may be used."""
    try:
        re.compile(pattern)
    except (re.error, RecursionError, OverflowError) as error:
        return f"It is no regular expression: {error}."
    if _BACK_REFERENCE.search(pattern.replace("\\\\", "")):
        return "Back-references are not used here."
    return _repetition_fault(_TOKEN.findall(pattern))


def matches(pattern: str, text: str) -> bool:
    """Return whether the whole of `text` matches; false for a text that is too long.

    Raises:
        ValueError: the pattern is not safe to run; see `fault_of`.
    """
    fault = fault_of(pattern)
    if fault:
        raise ValueError(fault)
    return len(text) <= LONGEST_TEXT and re.fullmatch(pattern, text) is not None


def _repetition_fault(tokens: list[str]) -> str:
    varies: list[bool] = [False]
    """Of each open group: whether it holds a repetition that varies, or an alternative."""
    closed: bool | None = None
    """Of the group just closed; None after anything else."""
    unbounded = 0
    for piece in tokens:
        least, most = _times(piece)
        if piece.startswith("(") and piece != "\\(":
            varies.append(False)
            closed = None
        elif piece == ")":
            closed = varies.pop()
            varies[-1] = varies[-1] or closed
        elif piece == "|":
            varies[-1], closed = True, None
        elif least is None:
            closed = None
        else:
            if closed and most > 1:
                return f"A group that varies is repeated ({piece}): the work may never end."
            unbounded += most - least > _SMALL
            varies[-1] = varies[-1] or most != least
    if unbounded > _MOST_OPEN:
        return f"It has {unbounded} open repetitions; at most {_MOST_OPEN} are used here."
    return ""


def _times(token: str) -> tuple[int | None, int]:
    """Return the least and most times of a repetition; None for any other token."""
    endless = 10_000
    if token in {"*", "+", "?"}:
        return {"*": (0, endless), "+": (1, endless), "?": (0, 1)}[token]
    if not re.fullmatch(r"\{\d*,?\d*\}", token) or token in {"{}", "{,}"}:
        return None, 0
    low, comma, high = token[1:-1].partition(",")
    least = int(low or 0)
    return least, (int(high) if high else endless) if comma else least
