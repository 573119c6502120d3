"""Another build by dotted paths: `altered(build, {"pack.series": "now - 1"}) -> Build`.

A change is a plain value, or an expression in the procedures' language over the build as it was:
`now` is the value at the path, `pack.series` any other one. A list is added to a set of names
(`controller.storage.never_stored: [direction]`) and replaces everything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from commission.errors import CommissionError
from commission.practice.slots import Kind, Slot, UnknownPathError, slot_at
from commission.procedure.expression import ExpressionError, UnknownValueError, Value, with_choices

if TYPE_CHECKING:
    from commission.practice.build import Build

Change = str | int | float | bool | tuple[str | int | float | bool, ...]
"""A plain value, an expression, or a list, as the YAML says it."""
NOW: Final = "now"
"""The name of the value that is changed."""


class ChangeError(CommissionError):
    """A change that this build cannot take; says which path and why."""


def altered(build: Build, changes: Mapping[str, Change]) -> Build:
    """Return the build with every change made; expressions see the build as it was given.

    Raises:
        ChangeError: an unknown path, a part that is not fitted, a value of the wrong kind.
    """
    result = build
    for path, change in changes.items():
        try:
            slot = slot_at(path)
        except UnknownPathError as error:
            raise ChangeError(f"{error.message}.", error.hint) from error
        present = value_at(build, path, default=None)
        value = _value(build, slot, change, present)
        if slot.kind is Kind.NAMES:
            value = value_at(result, path, default=frozenset()) | value
        result = _put(result, path.split("."), value, path)
    return result


def value_at(build: object, path: str, *, default: object = ...) -> Any:  # noqa: ANN401  any part
    """Return what stands at a dotted path of a build.

    Raises:
        ChangeError: nothing does, and no default is given.
    """
    node: Any = build
    for part in path.split("."):
        try:
            node = _inside(node, part)
        except (AttributeError, LookupError, ValueError):
            if default is not ...:
                return default
            raise ChangeError(f"This bike has no {path}.", "The part is not fitted.") from None
    return node


def _inside(node: Any, part: str) -> Any:  # noqa: ANN401  any part
    if isinstance(node, Mapping):
        return node[part]
    if isinstance(node, tuple):
        return node[int(part)]
    return getattr(node, part)


class Truth(Mapping[str, Value]):
    """The build's own values by dotted path, for expressions; `now` and others laid over it."""

    def __init__(self, build: Build, over: Mapping[str, Value] | None = None) -> None:
        """Look up in `over` first."""
        self.build, self.over = build, over or {}

    def __getitem__(self, name: str) -> Value:
        """Return a value, or raise KeyError."""
        if name in self.over:
            return self.over[name]
        value = value_at(self.build, name, default=None)
        if isinstance(value, bool | str):
            return value
        if isinstance(value, int | float):
            return float(value)
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        """Yield the names laid over the build."""
        return iter(self.over)

    def __len__(self) -> int:
        """Return how many names are laid over the build."""
        return len(self.over)


def _value(build: Build, slot: Slot, change: Change, present: object) -> Any:  # noqa: ANN401
    if slot.kind is Kind.NAMES:
        return frozenset(map(str, change)) if isinstance(change, tuple) else frozenset({change})
    if isinstance(change, tuple):
        return tuple(_computed(build, slot, item, present) for item in change)
    return _fitting(slot, _computed(build, slot, change, present))


def _computed(
    build: Build, slot: Slot, change: str | float | bool, present: object  # noqa: FBT001  a value
) -> Value:  # fmt: skip
    if not isinstance(change, str):
        return change
    if slot.kind is Kind.PAIR and change.isidentifier():
        return change
    over = {} if present is None or not isinstance(present, float | int | str | bool) else {
        NOW: present
    }  # fmt: skip
    try:
        return with_choices(change, slot.choices).evaluate(Truth(build, over))
    except UnknownValueError as error:
        raise ChangeError(
            f"{slot.path}: {change!r} needs {error.name}, which this bike has not.",
            "The fault says so with `needs`.",
        ) from error
    except ExpressionError as error:
        raise ChangeError(f"{slot.path}: {change!r}: {error.message}.", error.hint) from error


def _fitting(slot: Slot, value: Value) -> Value:
    """Return the value as the slot holds it, or refuse one of another kind."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if slot.kind is Kind.WHOLE and is_number and math.isclose(value, round(value)):  # type: ignore[arg-type]
        return round(value)  # type: ignore[arg-type]
    fits = {
        Kind.NUMBER: is_number,
        Kind.TRUTH: isinstance(value, bool),
        Kind.TEXT: isinstance(value, str) and (not slot.choices or value in slot.choices),
        Kind.ANY: True,
        Kind.SEVERAL: isinstance(value, tuple),
        Kind.PAIR: isinstance(value, tuple),
    }.get(slot.kind, False)
    if not fits:
        raise ChangeError(f"{slot.path} is {slot.words}; got {value!r}.")
    return float(value) if slot.kind is Kind.NUMBER else value  # type: ignore[arg-type]


def _put(node: Any, parts: list[str], value: object, path: str) -> Any:  # noqa: ANN401
    first, *rest = parts
    if isinstance(node, Mapping):
        inner = _put(node[first], rest, value, path) if rest else value
        return {**node, first: inner}
    if isinstance(node, tuple):
        at = int(first)
        inner = _put(node[at], rest, value, path) if rest else value
        return (*node[:at], inner, *node[at + 1 :])
    if not is_dataclass(node) or isinstance(node, type):
        raise ChangeError(f"This bike has no {path}.", "The part is not fitted.")
    inner = _put(getattr(node, first), rest, value, path) if rest else value
    return replace(node, **{first: inner})


def differing(one: object, other: object, path: str = "") -> Iterator[str]:
    """Yield the dotted paths at which two builds (or parts of them) differ."""
    if one is other or one == other:
        return
    inner: Iterator[tuple[str, object, object]]
    if is_dataclass(one) and type(one) is type(other):
        inner = ((each.name, getattr(one, each.name), getattr(other, each.name))
                 for each in fields(one))  # fmt: skip
    elif isinstance(one, Mapping) and isinstance(other, Mapping):
        names = dict.fromkeys((*one, *other))
        inner = ((name, one.get(name), other.get(name)) for name in names)
    elif isinstance(one, tuple) and isinstance(other, tuple) and is_dataclass(one[0]):
        inner = ((str(at), *pair) for at, pair in enumerate(zip(one, other, strict=True)))
    else:
        yield path
        return
    for name, left, right in inner:
        yield from differing(left, right, f"{path}.{name}" if path else str(name))
