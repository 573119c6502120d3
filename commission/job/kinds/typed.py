"""Strict parsing of what was typed against what was asked: nothing dropped, repaired or guessed.

A refusal names the field, says what was got and what is expected, and leaves nothing behind.
"""

from __future__ import annotations

import difflib
import json
import re
import unicodedata
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from commission.errors import QuantityError, RefusedError
from commission.quantities import parse_reading

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from commission.job.ask import Ask
    from commission.job.state import Given

LONGEST: Final = 500
"""Characters of one text field."""
_LONGEST_NUMBER: Final = 80
_LARGEST: Final = 1e15
"""In SI: beyond it nothing in a workshop lies, and squares stay finite."""
_WHOLE: Final = re.compile(r"[+-]?\d{1,15}")
_YES: Final = frozenset({"yes", "y", "true"})
_NO: Final = frozenset({"no", "n", "false"})
_DONE: Final = frozenset({"done", "yes", "y", "true"})
_DIGEST: Final = re.compile(r"[0-9a-f]{64}")


def parse_piece(asks: Sequence[Ask], given: Mapping[str, Any], *, some: bool) -> dict[str, Given]:
    """Return the givens by name; with `some`, those left out or left empty are passed over.

    Raises:
        RefusedError: a name not asked for, a missing value, or a text that is not what is asked.
    """
    known = {ask.name: ask for ask in asks}
    for name in given:
        if name not in known:
            near = difflib.get_close_matches(str(name), known, n=1)
            hint = f"Did you mean {near[0]}?" if near else f"Asked is: {', '.join(known)}."
            raise RefusedError(f"{str(name)[:60]!r} is not asked here.", hint)
    piece: dict[str, Given] = {}
    for ask in asks:
        typed = given.get(ask.name)
        if is_empty(typed):
            if ask.optional or some:
                continue
            raise RefusedError(f"{ask.label}: nothing was entered.", expected(ask))
        piece[ask.name] = parse_one(ask, typed)
    if not piece and not all(ask.optional for ask in asks):
        raise RefusedError("Nothing was entered.", expected(asks[0]) if asks else "")
    return piece


def is_empty(typed: object) -> bool:
    """Return whether nothing was entered: spaces count as nothing."""
    return typed is None or (isinstance(typed, str) and not typed.strip())


def parse_one(ask: Ask, typed: object) -> Given:
    """Return one given in the shape that records keep, or refuse."""
    if ask.type == "file":
        return _file(ask, typed)
    if not isinstance(typed, str):
        raise RefusedError(f"{ask.label}: {typed!r} is no text.", expected(ask))
    return _PARSERS.get(ask.type, _text)(ask, typed.strip())


def expected(ask: Ask) -> str:
    """Return what an ask expects, as advice."""
    if ask.type == "quantity":
        return f"Type a number in {ask.unit}." if ask.unit else "Type a number."
    if ask.type == "choice":
        return f"Choose one of: {', '.join(ask.choices)}."
    return _EXPECTED[ask.type]


def _quantity(ask: Ask, text: str) -> Given:
    if len(text) > _LONGEST_NUMBER:
        raise RefusedError(f"{ask.label}: that is too long for a number.", expected(ask))
    try:
        reading = parse_reading(text, ask.unit)
    except QuantityError as error:
        raise RefusedError(f"{ask.label}: {error.message}", error.hint or expected(ask)) from error
    if not abs(reading.si) <= _LARGEST:
        raise RefusedError(f"{ask.label}: {text} is too large a number.", expected(ask))
    return {"typed": reading.typed, "unit": reading.unit}


def _integer(ask: Ask, text: str) -> Given:
    if not (text.isascii() and _WHOLE.fullmatch(text)):
        raise RefusedError(f"{ask.label}: {text[:40]!r} is not a whole number.", expected(ask))
    return {"typed": text, "unit": ask.unit}


def _choice(ask: Ask, text: str) -> Given:
    for choice in ask.choices:
        if choice.casefold() == text.casefold():
            return choice
    raise RefusedError(f"{ask.label}: {text[:60]!r} is none of the choices.", expected(ask))


def _yes_no(ask: Ask, text: str) -> Given:
    word = text.casefold()
    if word not in _YES | _NO:
        raise RefusedError(f"{ask.label}: {text[:40]!r} is neither yes nor no.", expected(ask))
    return word in _YES


def _done(ask: Ask, text: str) -> Given:
    word = text.casefold()
    if word in _DONE:
        return True
    if "cannot" in ask.choices and word in _NO | {"cannot"}:
        return False
    raise RefusedError(f"{ask.label}: {text[:40]!r} does not confirm it.", expected(ask))


def _text(ask: Ask, text: str) -> Given:
    if len(text) > LONGEST:
        raise RefusedError(
            f"{ask.label}: {len(text)} characters are too many.", f"Use at most {LONGEST}."
        )
    for character in text:
        if character != "\n" and unicodedata.category(character) in {"Cc", "Cs"}:
            raise RefusedError(
                f"{ask.label}: it holds the control character U+{ord(character):04X}.",
                "Type it again without.",
            )
    return text


def _file(ask: Ask, typed: object) -> Given:
    described: object = typed
    if isinstance(typed, str):
        try:
            described = json.loads(typed)
        except ValueError:
            described = None
    if not isinstance(described, Mapping) or set(described) != {"name", "sha256", "size"}:
        raise RefusedError(f"{ask.label}: that is no file kept with the job.", expected(ask))
    name, digest, size = described["name"], described["sha256"], described["size"]
    good = isinstance(name, str) and isinstance(digest, str) and isinstance(size, int)
    if not good or not _DIGEST.fullmatch(digest) or size < 0 or not 0 < len(name) <= LONGEST:
        raise RefusedError(f"{ask.label}: the file's description is not whole.", expected(ask))
    if ask.choices and not name.lower().endswith(ask.choices):
        raise RefusedError(
            f"{ask.label}: {name[:60]!r} is not of an accepted type.",
            f"Accepted: {', '.join(ask.choices)}.",
        )
    return {"name": name, "sha256": digest, "size": size}


_PARSERS: Final[dict[str, Callable[[Ask, str], Given]]] = {
    "quantity": _quantity,
    "integer": _integer,
    "choice": _choice,
    "yes_no": _yes_no,
    "done": _done,
}
_EXPECTED: Final[dict[str, str]] = {
    "integer": "Type a whole number.",
    "yes_no": "Answer yes or no.",
    "done": "Confirm with done.",
    "file": "Choose a file.",
    "text": "Type a text.",
}
