"""Putting a prefix before the ids a fragment declares, and wherever they are referred to.

Ids of steps, facts and settings are prefixed; equipment is not, since it is the same tool on the
bench, nor are parts inside a step (`fields`, `columns`): `step.part` already tells them apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from commission.procedure.tokens import renamed

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

EXPRESSIONS: Final = frozenset(
    {
        "when", "min", "max", "is", "target", "tolerance", "within", "spread", "range", "deviation",
        "slope_min", "slope_max", "points", "duration", "off_for", "below", "expected",
        "equal_within", "intended", "default", "inputs",
    }
)  # fmt: skip
"""The keys under which expressions stand, alone, in a list or in a mapping."""
REFERENCES: Final = frozenset({"rests_on", "observe", "settings"})
"""The keys under which lists of ids stand."""
_INNER: Final = frozenset({"fields", "columns"})


def declared_ids(steps: list[Any], *others: list[Any]) -> Iterator[str]:
    """Yield the ids that steps (with their remedies) and lists of facts and settings declare."""
    for item in (*steps, *(thing for other in others for thing in other)):
        if not isinstance(item, dict):
            continue
        if isinstance(item.get("id"), str):
            yield item["id"]
        on_fail = item.get("on_fail")
        remedy = on_fail.get("remedy") if isinstance(on_fail, dict) else None
        if isinstance(remedy, list):
            yield from declared_ids(remedy)


def put_prefix(items: list[Any], new: Mapping[str, str]) -> None:
    """Rename ids in steps, facts or settings, in place."""
    for item in items:
        if isinstance(item, dict):
            if isinstance(item.get("id"), str):
                item["id"] = new.get(item["id"], item["id"])
            _rename_inside(item, new)


def _rename_inside(item: dict[str, Any], new: Mapping[str, str]) -> None:
    literal = [*_texts(item.get("options")), *_texts(item.get("choices"))]
    for key, value in item.items():
        if key in EXPRESSIONS:
            item[key] = _in_expressions(value, new, literal)
        elif key in REFERENCES and isinstance(value, list):
            item[key][:] = [
                new.get(name, name) if isinstance(name, str) else name for name in value
            ]
        elif key in _INNER and isinstance(value, list):
            for part in value:
                if isinstance(part, dict):
                    _rename_inside(part, new)
        elif key == "limits" and isinstance(value, dict):
            _rename_inside(value, new)
        elif key == "on_fail" and isinstance(value, dict):
            remedy = value.get("remedy")
            put_prefix(remedy if isinstance(remedy, list) else [], new)


def _texts(value: object) -> list[str]:
    return [text for text in value if isinstance(text, str)] if isinstance(value, list) else []


def _in_expressions(value: Any, new: Mapping[str, str], literal: list[str]) -> Any:  # noqa: ANN401
    if isinstance(value, str):
        return value if value in literal else renamed(value, new)
    if isinstance(value, list):
        value[:] = [_in_expressions(item, new, literal) for item in value]
    elif isinstance(value, dict):
        for key, item in value.items():
            value[key] = _in_expressions(item, new, literal)
    return value
