"""What stands at a dotted path of any build, by the types alone: `slot_at("pack.series")`."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from types import UnionType
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from commission.errors import CommissionError
from commission.practice import build as builds
from commission.procedure.problems import nearest


class Kind(Enum):
    """What a place in a build holds."""

    NUMBER = "a number"
    WHOLE = "a whole number"
    TRUTH = "true or false"
    TEXT = "a text"
    ANY = "a value"
    NAMES = "a list of names"
    SEVERAL = "a list of values"
    PAIR = "a setting and a value"


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in a build."""

    path: str
    kind: Kind
    choices: tuple[str, ...] = ()
    """The texts that are possible; empty where any is."""

    @property
    def words(self) -> str:
        """What it holds, for a sentence."""
        return f"one of {', '.join(self.choices)}" if self.choices else self.kind.value


class UnknownPathError(CommissionError):
    """A path that no build has; `hint` names the nearest that it could have."""


@functools.cache
def slot_at(path: str) -> Slot:
    """Return what a dotted path holds.

    Raises:
        UnknownPathError: says up to where the path is known, and what there is.
    """
    annotation: Any = builds.Build
    for index, part in enumerate(path.split(".")):
        annotation = _within(annotation, part, path, index)
    kind, choices = _leaf(annotation, path)
    return Slot(path, kind, choices)


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind, vars(builds) | {"Mapping": Mapping})


def _within(annotation: Any, part: str, path: str, index: int) -> Any:  # noqa: ANN401  annotations
    annotation = _fitted(annotation)
    known: tuple[str, ...] = ()
    if is_dataclass(annotation):
        known = tuple(each.name for each in fields(annotation))
        if part in known:
            return _hints(annotation)[part]  # type: ignore[arg-type]
    elif get_origin(annotation) is Mapping:
        if part:
            return get_args(annotation)[1]
    elif get_origin(annotation) is tuple and is_dataclass(get_args(annotation)[0]):
        known = tuple(str(at) for at in range(len(get_args(annotation))))
        if part in known:
            return get_args(annotation)[0]
    before = ".".join(path.split(".")[:index])
    where = f"{before} has no {part!r}" if before else f"a bike has no {part!r}"
    hint = nearest(part, known) or (f"There is {', '.join(known)}." if known else "It is a value.")
    raise UnknownPathError(where, hint)


def _fitted(annotation: Any) -> Any:  # noqa: ANN401  annotations
    """Return the part of an annotation that is not None."""
    if get_origin(annotation) in (Union, UnionType):
        kinds = [each for each in get_args(annotation) if each is not type(None)]
        return kinds[0] if len(kinds) == 1 else annotation
    return annotation


_LEAVES: Final[dict[Any, Kind]] = {
    float: Kind.NUMBER,
    int: Kind.WHOLE,
    bool: Kind.TRUTH,
    str: Kind.TEXT,
    builds.SettingValue: Kind.ANY,
    frozenset[str]: Kind.NAMES,
    tuple[str, builds.SettingValue]: Kind.PAIR,
}


def _leaf(annotation: Any, path: str) -> tuple[Kind, tuple[str, ...]]:  # noqa: ANN401  annotations
    annotation = _fitted(annotation)
    if get_origin(annotation) is Literal:
        values = get_args(annotation)
        if all(isinstance(value, str) for value in values):
            return Kind.TEXT, tuple(values)
        return Kind.WHOLE, ()
    if annotation in _LEAVES:
        return _LEAVES[annotation], ()
    if get_origin(annotation) is tuple and not is_dataclass(get_args(annotation)[0]):
        return Kind.SEVERAL, ()
    names = _names(annotation)
    hint = f"Name one of its values: {', '.join(names)}." if names else "Name one of its values."
    raise UnknownPathError(f"{path} is a whole part", hint)


def _names(annotation: Any) -> tuple[str, ...]:  # noqa: ANN401  annotations
    if is_dataclass(annotation):
        return tuple(each.name for each in fields(annotation))
    return ()
