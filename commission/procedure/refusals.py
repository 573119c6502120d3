"""Validating data against a model, and turning what pydantic says into few clear problems.

One mistake makes one problem: branches of a union are gathered, and what only follows from another
problem (an outer list "too short" since an item of it was refused) is left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from commission.procedure import model
from commission.procedure.problems import Problem, nearest, problem

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic_core import ErrorDetails

    from commission.procedure.places import Path, Places

Model = TypeVar("Model", bound=BaseModel)

_KINDS: Final[dict[str, type[BaseModel]]] = {
    "confirm": model.Confirm, "measure": model.Measure, "choose": model.Choose,
    "identify": model.Identify, "read_back": model.ReadBack, "write": model.Write,
    "calculate": model.Calculate, "power_cycle": model.PowerCycle, "observe": model.Observe,
    "series": model.Series, "sweep": model.Sweep, "dwell": model.Dwell, "attach": model.Attach,
    "sign_off": model.SignOff,
}  # fmt: skip
_PARTS: Final[dict[str, type[BaseModel]]] = {
    "stages": model.Stage, "caution": model.Caution, "limits": model.Limits,
    "on_fail": model.OnFail, "fields": model.Mark, "columns": model.Column, "x": model.Axis,
    "y": model.Axis, "facts": model.Fact, "settings": model.Setting, "equipment": model.Equipment,
    "parameters": model.Parameter, "faults": model.Fault,
}  # fmt: skip
_PATTERNS: Final = (
    ("[a-z0-9_]", "lower case letters, digits and _, beginning with a letter"),
    ("[a-z0-9-]", "lower case letters, digits and -, beginning with a letter"),
    ("[a-z0-9_.:-]", "lower case letters, digits and _ . : -, beginning with a letter"),
    ("^\\.", "a file ending such as .jpg"),
)
_WANTED: Final = {
    "string_type": "a text", "int_type": "a whole number", "float_type": "a number",
    "bool_type": "true or false", "tuple_type": "a list", "list_type": "a list",
    "dict_type": "a mapping", "model_type": "a mapping", "model_attributes_type": "a mapping",
    "int_from_float": "a whole number", "string_too_short": "a longer text",
}  # fmt: skip


def validated(
    kind: type[Model], data: object, places: Places, problems: list[Problem], base: Path = ()
) -> Model | None:
    """Return the data as a model, or None with what is wrong added to `problems`.

    `base` is the way from the document's root to the data, for the places.
    """
    try:
        return kind.model_validate(data)
    except ValidationError as error:
        found = error.errors(include_url=False, include_context=True)
    except RecursionError:
        problems.append(problem(places.at(base), "nested too deeply"))
        return None
    refused = _Refusals(kind, data, places, base)
    problems.extend(refused.told(found))
    return None


class _Refusals:
    """What pydantic refused in one document."""

    def __init__(self, kind: type[BaseModel], data: object, places: Places, base: Path) -> None:
        """Keep what is needed to find places and known keys."""
        self.kind, self.data, self.places, self.base = kind, data, places, base
        self.suggested: set[tuple[Path, str]] = set()

    def told(self, found: list[ErrorDetails]) -> list[Problem]:
        """Return the problems, one per mistake, in the order of the document."""
        gathered: dict[Path, list[ErrorDetails]] = {}
        for error in found:
            gathered.setdefault(self._path(error), []).append(error)
        unknown = [path for path, errors in gathered.items() if _is(errors, "extra_forbidden")]
        result = [(path, self._unknown(path)) for path in unknown]
        for path, errors in gathered.items():
            if path in unknown or self._follows(path, errors, gathered):
                continue
            result.append((path, self._problem(path, errors)))
        return [each for _, each in sorted(result, key=lambda pair: (pair[1].line, pair[1].column))]

    def _path(self, error: ErrorDetails) -> Path:
        """Return the way through the data: `loc` without the names of union branches."""
        path: list[str | int] = []
        node: Any = self.data
        loc = error["loc"]
        for index, part in enumerate(loc):
            last = index == len(loc) - 1
            if _leads(node, part, last=last):
                path.append(part)
                node = node[part]
            elif error["type"] == "missing" and last:
                path.append(part)
        return tuple(path)

    def _follows(
        self, path: Path, errors: list[ErrorDetails], gathered: Mapping[Path, object]
    ) -> bool:
        """Return whether this is only what another problem led to."""
        value = _walk(self.data, path)
        if _is(errors, "too_short") and isinstance(value, list):
            return len(value) >= int(errors[0].get("ctx", {}).get("min_length", 0))
        if _is(errors, "missing"):
            return (path[:-1], str(path[-1])) in self.suggested
        return any(len(other) > len(path) and other[: len(path)] == path for other in gathered)

    def _unknown(self, path: Path) -> Problem:
        known = self._known(path[:-1])
        key = str(path[-1])
        hint = nearest(key, known)
        if hint:
            self.suggested.update((path[:-1], name) for name in known if name in hint)
        expected = "" if hint else f"one of {', '.join(known)}"
        place = self.places.at((*self.base, *path), key=True)
        return problem(place, "unknown key", key, expected, hint)

    def _known(self, path: Path) -> list[str]:
        """Return the keys that the mapping at a path can have."""
        kind = self.kind
        node: Any = self.data
        for part in path:
            node = node[part]
            if isinstance(part, int):
                continue
            if part in ("steps", "remedy"):
                kind = model.StepBase
            elif part == "settings" and self.kind is model.ControllerSheet:
                kind = model.SheetSetting
            else:
                kind = getattr(self.kind, "PARTS", _PARTS).get(part, kind)
        if kind is model.StepBase and isinstance(node, dict):
            kind = _KINDS.get(str(node.get("kind")), model.StepBase)
        return [info.alias or name for name, info in kind.model_fields.items()]

    def _no_kind(self, path: Path, step: object) -> Problem:
        """Return the problem of a step whose kind is missing or unknown."""
        kinds = f"one of {', '.join(model.KINDS)}"
        kind = step.get("kind") if isinstance(step, dict) else None
        if kind is None:
            place = self.places.at((*self.base, *path))
            return problem(place, "a step without the key kind", "", kinds)
        place = self.places.at((*self.base, *path, "kind"))
        return problem(
            place, "no such kind of step", _seen(kind), kinds, nearest(kind, model.KINDS)
        )

    def _problem(self, path: Path, errors: list[ErrorDetails]) -> Problem:
        error = errors[0]
        value = _walk(self.data, path)
        place = self.places.at((*self.base, *path))
        if error["type"].startswith("union_tag"):
            return self._no_kind(path, value)
        if error["type"] == "missing":
            place = self.places.at((*self.base, *path[:-1]))
            return problem(place, f"the key {path[-1]} is missing")
        if len(errors) > 1 and all(each["type"].endswith(("_type", "_parsing")) for each in errors):
            return problem(place, f"a wrong kind of value{_under(path)}", _seen(value), "a value "
                           "or an expression, such as 3.0[V]")  # fmt: skip
        told = _TELL.get(error["type"], _other)
        what, expected, hint = told(error, value)
        return problem(place, what + _under(path), _seen(value), expected, hint)


def _leads(node: object, part: str | int, *, last: bool) -> bool:
    """Return whether a part of pydantic's `loc` is a key or index and no name of a branch."""
    if isinstance(node, dict):
        is_branch = node.get("kind") == part and "id" in node and not last
        return part in node and not is_branch
    return isinstance(node, list) and isinstance(part, int) and part < len(node)


def _is(errors: list[ErrorDetails], kind: str) -> bool:
    return errors[0]["type"] == kind


def _walk(data: Any, path: Path) -> Any:  # noqa: ANN401  any data
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _under(path: Path) -> str:
    names = [part for part in path if isinstance(part, str)]
    return f" in {names[-1]}" if names else ""


def _seen(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    return value if isinstance(value, str) and value else repr(value) if value == "" else (
        f"a list of {len(value)}" if isinstance(value, list)
        else "a mapping" if isinstance(value, dict) else str(value)
    )  # fmt: skip


Told = tuple[str, str, str]
"""What, expected, hint."""


def _literal(error: ErrorDetails, value: object) -> Told:
    expected = str(error.get("ctx", {}).get("expected", "")).replace(" or ", ", ")
    names = [name.strip(" '") for name in expected.split(",")]
    return "a value that is not possible", f"one of {', '.join(names)}", nearest(value, names)


def _pattern(error: ErrorDetails, value: object) -> Told:
    pattern = str(error.get("ctx", {}).get("pattern", ""))
    words = next((words for sign, words in _PATTERNS if sign in pattern), pattern)
    changed = "".join(each if each.isalnum() else "_" for each in str(value).lower())
    hint = f"Perhaps {changed}." if "_," in f"{words}," and changed[:1].isalpha() else ""
    return "a name that is not possible", words, hint


def _length(error: ErrorDetails, value: object) -> Told:
    context = error.get("ctx", {})
    low, high = context.get("min_length"), context.get("max_length")
    bound = f"at least {low}" if low is not None else f"at most {high}"
    unit = "character" if isinstance(value, str) else "item"
    plural = "" if 1 in (low, high) else "s"
    return "a wrong length", f"{bound} {unit}{plural}", ""


def _bound(error: ErrorDetails, _: object) -> Told:
    context = error.get("ctx", {})
    words = {"ge": "at least", "le": "at most", "gt": "more than", "lt": "less than"}
    bounds = [f"{word} {context[key]}" for key, word in words.items() if key in context]
    return "a number out of range", " and ".join(bounds), ""


def _other(error: ErrorDetails, value: object) -> Told:
    expected = _WANTED.get(error["type"], "")
    hint = ""
    if error["type"] == "string_type" and isinstance(value, int | float):
        hint = f"Quote it: '{_seen(value)}'."
    return ("a wrong kind of value", expected, hint) if expected else (error["msg"].lower(), "", "")


_TELL: Final = {
    "literal_error": _literal,
    "string_pattern_mismatch": _pattern, "too_short": _length, "too_long": _length,
    "string_too_short": _length, "string_too_long": _length, "greater_than_equal": _bound,
    "less_than_equal": _bound, "greater_than": _bound, "less_than": _bound,
}  # fmt: skip
