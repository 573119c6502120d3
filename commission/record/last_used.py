"""The values last typed into each calculator: a small file beside the store, no part of any record.

Nothing rests on it. A file that is missing is empty; one that cannot be read is passed over, with a
sentence that says so, and replaced the next time something is kept. It is written whole into a new
file that then takes its place, so a crash leaves the old one.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from commission.errors import StoreError
from commission.record.places import home, places_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

NAME: Final = "calculators.json"
_VERSION: Final = 1
_LARGEST: Final = 1_000_000
"""Bytes; a larger file was not written by this program."""
_LONGEST: Final = 500


@dataclass(frozen=True, slots=True)
class Typed:
    """One field: the text, its unit, and the unit it was shown in."""

    text: str
    unit: str
    shown_in: str


@dataclass(frozen=True, slots=True)
class LastUsed:
    """What stood in one calculator."""

    inputs: Mapping[str, Typed] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    """In which unit each output was shown."""


def place(store: str | None) -> Path:
    """Return the file's path: in the folder of the store, or of this user's bench."""
    try:
        return places_of(store).store.with_name(NAME)
    except StoreError:
        return home() / NAME


def read(path: Path) -> tuple[dict[str, LastUsed], str]:
    """Return what was kept by calculator, and a sentence where the file could not be read."""
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST + 1)
    except FileNotFoundError:
        return {}, ""
    except OSError as error:
        return {}, f"The values last used cannot be read: {path}: {error.strerror}."
    try:
        return _understood(raw), ""
    except (ValueError, TypeError, KeyError, RecursionError):
        return {}, f"The values last used are passed over: {path} is not a file of this program."


def keep(path: Path, name: str, used: LastUsed) -> str:
    """Keep what stands in one calculator, the others as they are; return what went wrong or ""."""
    kept, _ = read(path)
    kept[name] = used
    data = {"version": _VERSION, "calculators": {each: _plain(one) for each, one in kept.items()}}
    fresh = path.with_name(f"{path.name}.{os.getpid()}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(json.dumps(data, ensure_ascii=False, indent=1), encoding="utf-8")
        fresh.replace(path)
    except (OSError, UnicodeEncodeError) as error:
        fresh.unlink(missing_ok=True)
        return f"The values last used were not kept: {getattr(error, 'strerror', error)}."
    return ""


def _plain(used: LastUsed) -> dict[str, object]:
    inputs = {name: [one.text, one.unit, one.shown_in] for name, one in used.inputs.items()}
    return {"inputs": inputs, "outputs": dict(used.units)}


def _understood(raw: bytes) -> dict[str, LastUsed]:
    """Return the file's content; raise `ValueError` where `keep` never writes such."""
    if len(raw) > _LARGEST:
        raise ValueError
    data = json.loads(raw.decode("utf-8"))
    if not isinstance(data, dict) or data.get("version") != _VERSION:
        raise ValueError
    return {name: _last_used(_mapping(one)) for name, one in _mapping(data["calculators"]).items()}


def _last_used(one: dict[str, object]) -> LastUsed:
    inputs = {name: _typed(parts) for name, parts in _mapping(one.get("inputs")).items()}
    units = {name: _text(unit) for name, unit in _mapping(one.get("outputs")).items()}
    return LastUsed(inputs, units)


def _typed(parts: object) -> Typed:
    if not isinstance(parts, list):
        raise TypeError
    text, unit, shown_in = parts
    return Typed(_text(text), _text(unit), _text(shown_in))


def _mapping(value: object) -> dict[str, object]:
    if not isinstance(value, dict):
        raise TypeError
    return value


def _text(value: object) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise ValueError
    return value
