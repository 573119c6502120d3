"""What an entry of a record holds, in words: one line for each thing it says. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from commission.job.closeness import shown
from commission.job.instrument import CITED

_LABELS: Final = {"parts": "given", "by": "answered by", "seq": "entry"}
_LEFT_OUT: Final = frozenset({"judged"})
"""What the verdict was reckoned from; the exported record has it."""


def body_words(body: Mapping[str, Any]) -> str:
    """Return a body as lines like `given: 53.2 V`, in its own order; what is empty is left out."""
    lines = (
        f"{_LABELS.get(name, name.replace('_', ' '))}: {said}"
        for name, value in body.items()
        if name not in _LEFT_OUT and (said := _words(value))
    )
    return "\n".join(lines)


def _words(value: Any) -> str:  # noqa: ANN401  whatever JSON can hold
    if value is None:
        return ""
    if isinstance(value, Mapping):
        if "typed" in value:
            return _reading(value)
        if "sha256" in value and "name" in value:
            return f"{value['name']}, SHA-256 {value['sha256']}"
        return ", ".join(
            said if name in {"", "value"} else f"{name.replace('_', ' ')} {said}"
            for name, one in value.items()
            if (said := _words(one))
        )
    if isinstance(value, list | tuple):
        return "; ".join(said for one in value if (said := _words(one)))
    return shown(value)


def _reading(given: Mapping[str, Any]) -> str:
    cited = given.get(CITED)
    with_it = f" (read with {cited.get('id') or 'another'})" if isinstance(cited, Mapping) else ""
    return f"{shown(given)}{with_it}"
