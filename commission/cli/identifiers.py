"""Ids of jobs and audits as people type them: capitals do not matter."""

from __future__ import annotations

import re
from typing import Final

_ID: Final = re.compile(r"(audit-)?(\d{8}-[a-z]{4})", re.IGNORECASE | re.ASCII)


def recorded_id(text: str) -> str:
    """Return an id of a job or an audit as its record has it; any other text as it is."""
    match = _ID.fullmatch(text.strip())
    return text if match is None else f"{(match[1] or '').lower()}{match[2].upper()}"
