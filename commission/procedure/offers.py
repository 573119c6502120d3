"""What the shipped procedures say of themselves, for choosing one: read without their steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from commission.procedure import yaml12
from commission.procedure.expression import ExpressionError, UnknownValueError, parse
from commission.procedure.load import checklists, read_text

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

_STEPS_BEGIN: Final = "\nstages:"
_HOUR_S: Final = 3600.0


@dataclass(frozen=True, slots=True)
class Offer:
    """A shipped procedure, as somebody chooses it."""

    slug: str
    title: str
    purpose: str
    use_when: str
    takes_s: float
    """How long it takes a practised technician, s; 0 where it does not say."""
    file: Traversable

    @property
    def takes(self) -> str:
        """How long it takes, in words: `5 h`, `90 min`; empty where it does not say."""
        if self.takes_s >= 2 * _HOUR_S:
            return f"{self.takes_s / _HOUR_S:.3g} h"
        return f"{self.takes_s / 60:.3g} min" if self.takes_s else ""


def offers() -> tuple[Offer, ...]:
    """Return the shipped procedures: whole jobs first, checks of minutes last."""
    folder = checklists()
    found: list[Offer] = []
    for file in folder.iterdir() if folder.is_dir() else ():
        if file.name.endswith(".yaml") and isinstance(text := read_text(file), str):
            head = yaml12.build(text.partition(_STEPS_BEGIN)[0], file.name).data
            if isinstance(head, dict) and "procedure" in head:
                found.append(_offer(head, file))
    return tuple(sorted(found, key=lambda offer: (-offer.takes_s, offer.title)))


def equipment_kinds() -> tuple[str, ...]:
    """Return the kinds of instruments that the shipped procedures and fragments name, sorted."""
    folder = checklists()
    files = [*_yaml_in(folder), *_yaml_in(folder / "fragments")]
    kinds: set[str] = set()
    for file in files:
        if not isinstance(text := read_text(file), str):
            continue
        head = yaml12.build(text.partition(_STEPS_BEGIN)[0], file.name).data
        listed = head.get("equipment") if isinstance(head, dict) else None
        for one in listed if isinstance(listed, list) else ():
            if isinstance(one, dict) and isinstance(one.get("kind"), str):
                kinds.add(one["kind"])
    return tuple(sorted(kinds))


def _yaml_in(folder: Traversable) -> list[Traversable]:
    found = folder.iterdir() if folder.is_dir() else ()
    return [file for file in found if file.name.endswith(".yaml")]


def _offer(head: dict[str, Any], file: Traversable) -> Offer:
    def text(key: str) -> str:
        return str(head.get(key, "")).strip()

    return Offer(
        text("procedure"), text("title"), text("purpose"), text("use_when"),
        _seconds(head.get("takes")), file,
    )  # fmt: skip


def _seconds(takes: object) -> float:
    if not isinstance(takes, str):
        return 0.0
    try:
        value = parse(takes).evaluate({})
    except (ExpressionError, UnknownValueError):
        return 0.0
    return float(value) if isinstance(value, float | int) else 0.0
