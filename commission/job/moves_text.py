"""Reasons and other words that a move asks for."""

from __future__ import annotations

from typing import Final

from commission.errors import RefusedError
from commission.job.ask import Ask
from commission.job.kinds.typed import parse_one

SHORTEST: Final = 3
"""Characters: less says nothing."""


def said(name: str, text: str, hint: str = "Say it in a few words.") -> str:
    """Return a text stripped, or refuse one that is missing, too long or no text.

    Raises:
        RefusedError: names the field.
    """
    if len(text.strip()) < SHORTEST:
        raise RefusedError(f"{name}: nothing was entered.", hint)
    return str(parse_one(Ask(name, name, "text"), text))


def reason_given(reason: str) -> str:
    """Return a reason stripped, or refuse one that says nothing."""
    return said("Reason", reason, "Say in a few words why.")
