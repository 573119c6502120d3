"""What commands say to people beside their results; results alone go to standard output."""

from __future__ import annotations

import sys

from commission.safe_text import safe_text


def say(sentence: object) -> None:
    """Print a sentence on standard error."""
    print(safe_text(sentence), file=sys.stderr)
