"""Which line of a dialog a refusal is about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import PassphraseError, RefusedError
from commission.tui.signing.form import Refusal

if TYPE_CHECKING:
    from commission.errors import CommissionError

_BEGINNINGS: Final = (
    ("Name:", "name"),
    ("Id:", "person"),
    ("Initials:", "initials"),
    ("Role:", "roles"),
    ("The first person", "roles"),
    ("The passphrase has", "phrase"),
    ("Reason:", "reason"),
    ("Kind:", "kind"),
    ("Serial number:", "serial"),
    ("Label:", "label"),
    ("Range", "ranges"),
    ("Calibrated on:", "on"),
    ("Due:", "due"),
    ("What it showed:", "text"),
)
"""How the register's refusals begin, and the name of the line each is about."""


class LineRefusedError(RefusedError):
    """What was typed in one line will not do."""

    def __init__(self, line: str, message: str, hint: str = "") -> None:
        """Keep the name of the line beside the sentence and the advice."""
        super().__init__(message, hint)
        self.line = line


def refusal(error: CommissionError) -> Refusal:
    """Return a refusal for a dialog, with the line it is about where that can be told."""
    return Refusal(error.diagnostics(), _line(error))


def _line(error: CommissionError) -> str:
    if isinstance(error, LineRefusedError):
        return error.line
    if isinstance(error, PassphraseError):
        return "secret"
    found = (line for start, line in _BEGINNINGS if error.message.startswith(start))
    return next(found, "")
