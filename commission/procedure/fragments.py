"""Including fragments: steps shared by several procedures, with parameters and a prefix.

A fragment's facts, settings and equipment come along with its steps; `included_values` brings them
without its steps, where a procedure lists its own.

In this order, so that no name of one file is taken for that of another:
1. the fragment's own includes are resolved; 2. the prefix is put before the ids it declares;
3. `${name}` in its texts is replaced by the parameter's value.

A text that is exactly `${name}` takes the value with its type; inside a longer text the value is
written out. Replacing happens in data, after YAML is read: a value cannot add keys or steps. In an
expression, write `(${limit}) * 2` where the value may itself be a sum.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from commission.procedure import included_values, model, yaml12
from commission.procedure.prefixes import declared_ids, put_prefix
from commission.procedure.problems import Problem, nearest, problem
from commission.procedure.refusals import validated

if TYPE_CHECKING:
    from commission.procedure.places import Places

DEEPEST: Final = 8
"""Fragments within fragments."""
MOST_INCLUDES: Final = 500
_STAND_IN: Final = {"kind": "confirm", "id": "not_included", "title": "Not included"}
"""Takes the place of a fragment that cannot be included, so that nothing else is told of it."""
_PLACEHOLDER: Final = re.compile(r"\$\{([^{}]*)\}")

Find = Callable[[str, str], tuple[str, str] | None]
"""From a fragment's name and the file that includes it to the fragment's file and text."""


@dataclass(slots=True)
class Inclusion:
    """The work of including: where fragments are found, and what was wrong."""

    find: Find
    places: Places
    problems: list[Problem] = field(default_factory=list)
    shared: dict[str, list[Any]] = field(
        default_factory=lambda: {key: [] for key in included_values.SHARED}
    )
    """Equipment, facts and settings that fragments bring along."""
    count: int = 0

    def resolve(self, data: dict[str, Any]) -> None:
        """Replace every include in a procedure by what it stands for, in place."""
        included_values.resolve(self, data)
        stages = data.get("stages")
        for stage in stages if isinstance(stages, list) else ():
            if isinstance(stage, dict) and isinstance(stage.get("steps"), list):
                self.expand(stage["steps"], ())
        for key, brought in self.shared.items():
            if brought and isinstance(data.setdefault(key, []), list):
                self._join(data[key], brought)

    def expand(self, steps: list[Any], within: tuple[str, ...]) -> None:
        """Replace the includes of a list of steps and of their remedies, in place."""
        if not any(_has_include(step) for step in steps):
            return
        result: list[Any] = []
        for step in steps:
            if isinstance(step, dict) and "include" in step:
                result.extend(self._included(step, within))
                continue
            if _has_include(step):
                self.expand(step["on_fail"]["remedy"], within)
            result.append(step)
        steps[:] = result
        entry = self.places.entries.get(id(steps))
        if entry is not None:
            # Steps are mappings with places of their own; the list's marks no longer fit.
            self.places.entries[id(steps)] = entry._replace(values=[])

    def _included(self, item: dict[str, Any], within: tuple[str, ...]) -> list[Any]:
        """Return the steps an include stands for, or a stand-in where it cannot be resolved."""
        include = validated(model.Include, item, self.places.under(item), self.problems)
        if include is None or self.count > MOST_INCLUDES:
            return [dict(_STAND_IN)]
        name = include.include
        self.count += 1
        if refusal := self.refusal(name, within):
            self.tell(item, "include", refusal, " > ".join((*within, name)))
            return [dict(_STAND_IN)]
        fragment = self.read(item, name)
        if fragment is None:
            return [dict(_STAND_IN)]
        data, head = fragment
        steps = data["steps"]
        self.expand(steps, (*within, name))
        if include.prefix:
            ids = declared_ids(steps, data["facts"], data["settings"])
            new = {old: include.prefix + old for old in ids}
            for part in (steps, data["facts"], data["settings"]):
                put_prefix(part, new)
        told = len(self.problems)
        filled = self.filling(self.values(item, include, head))
        if len(self.problems) > told:
            return [dict(_STAND_IN)]
        for key in included_values.SHARED:
            self.shared[key].extend(filled.fill(thing) for thing in data[key])
        return [filled.fill(step) for step in steps]

    def filling(self, values: dict[str, Any]) -> Filling:
        """Return what puts parameters' values into copies of a fragment's parts."""
        return Filling(self, values)

    def refusal(self, name: str, within: tuple[str, ...]) -> str:
        """Return why a fragment cannot be included here; empty where it can."""
        if name in within:
            return "a fragment that includes itself"
        if len(within) >= DEEPEST:
            return f"fragments within fragments, deeper than {DEEPEST}"
        return f"more than {MOST_INCLUDES} includes" if self.count > MOST_INCLUDES else ""

    def read(self, item: dict[str, Any], name: str) -> tuple[dict[str, Any], model.Fragment] | None:
        """Return a fresh copy of a fragment's data and its head; None, told, where it has none."""
        place = self.places.of_container(item)
        found = self.find(name, place.file if place else "")
        if found is None:
            self.tell(item, "include", "no such fragment", name, "a file NAME.yaml in fragments/")
            return None
        file, text = found
        document = yaml12.build(text, file)
        at = f"{place.file}:{place.line}" if place else "an include"
        for entry_id, entry in document.places.entries.items():
            source = entry.source._replace(included=at)
            self.places.entries[entry_id] = entry._replace(source=source)
        self.places.texts.setdefault(file, text)
        self.problems.extend(document.problems)
        data = document.data
        if data is None and document.problems:
            return None
        head = validated(model.Fragment, data, self.places.under(data), self.problems)
        if head is None:
            return None
        for key in (*included_values.SHARED, "steps"):
            data.setdefault(key, [])
        return data, head

    def values(
        self,
        item: dict[str, Any],
        include: model.Include | model.IncludeValues,
        head: model.Fragment,
    ) -> dict[str, Any]:
        """Return the parameters' values; what is missing or unknown is a problem."""
        given = item.get("with", {})
        values: dict[str, Any] = {}
        for name in include.with_:
            if name not in head.parameters:
                hint = nearest(name, head.parameters) or _listed(head.parameters)
                place = self.places.of_key(given, name) or self.places.at(())
                self.problems.append(
                    problem(
                        place, f"the fragment {head.fragment} has no parameter", name, hint=hint
                    )
                )
            elif not _is_value(given[name]):
                self.tell(given, name, "a parameter that is no value", given[name], "a value")
            values[name] = given[name]
        for name, parameter in head.parameters.items():
            if name in values:
                continue
            if parameter is None or parameter.default is None:
                self.tell(
                    item,
                    "include",
                    f"the parameter {name} is missing",
                    hint=f"Add it under with: {name}: …",
                )
            values[name] = "" if parameter is None else parameter.default
        return values

    def _join(self, existing: list[Any], brought: list[Any]) -> None:
        """Add what fragments bring, once; a second, different declaration is a problem."""
        known = {thing.get("id"): thing for thing in existing if isinstance(thing, dict)}
        for thing in brought:
            name = thing.get("id") if isinstance(thing, dict) else None
            if name is None or name not in known:
                existing.append(thing)
                known[name] = thing
            elif known[name] != thing:
                self.tell(thing, "id", "declared differently elsewhere", name, "the same words")
        entry = self.places.entries.get(id(existing))
        if entry is not None:
            self.places.entries[id(existing)] = entry._replace(values=[])

    def tell(
        self, container: Any, key: str | int, what: str, got: object = "", expected: str = "",  # noqa: ANN401
        hint: str = "",
    ) -> None:  # fmt: skip
        """Add a problem at a key or an index of a container."""
        place = self.places.of_value(container, key) or self.places.at(())
        self.problems.append(problem(place, what, got, expected, hint))


def _has_include(step: object) -> bool:
    if not isinstance(step, dict):
        return False
    if "include" in step:
        return True
    on_fail = step.get("on_fail")
    remedy = on_fail.get("remedy") if isinstance(on_fail, dict) else None
    return isinstance(remedy, list) and any(_has_include(inner) for inner in remedy)


def _is_value(value: object) -> bool:
    if isinstance(value, list):
        return all(isinstance(item, str | int | float | bool) for item in value)
    return isinstance(value, str | int | float | bool)


def _listed(names: dict[str, Any]) -> str:
    return f"It has {', '.join(names)}." if names else "It has none."


@dataclass(frozen=True, slots=True)
class Filling:
    """Replaces placeholders in copies of a fragment's parts."""

    inclusion: Inclusion
    values: dict[str, Any]

    def fill(self, node: Any, holder: Any = None, key: str | int = 0) -> Any:  # noqa: ANN401
        """Return a copy with its placeholders replaced, its places kept."""
        if isinstance(node, str):
            return self._text(node, holder, key) if "${" in node else node
        if isinstance(node, dict):
            new: Any = {name: self.fill(value, node, name) for name, value in node.items()}
        elif isinstance(node, list):
            new = [self.fill(value, node, index) for index, value in enumerate(node)]
        else:
            return node
        self.inclusion.places.copy_entry(node, new, "")
        return new

    def _text(self, text: str, holder: Any, key: str | int) -> Any:  # noqa: ANN401  any data
        if (match := _PLACEHOLDER.fullmatch(text)) and match[1] in self.values:
            return self.values[match[1]]

        def written(match: re.Match[str]) -> str:
            value = self.values.get(match[1])
            if isinstance(value, bool):
                return "true" if value else "false"
            if match[1] in self.values and not isinstance(value, list | tuple):
                return str(value)
            places = self.inclusion.places
            place = places.of_value(holder, key) or places.at(())
            what = "a list inside a text" if match[1] in self.values else "no such parameter"
            hint = nearest(match[1], self.values) or _listed(self.values)
            self.inclusion.problems.append(problem(place, what, match[0], hint=hint))
            return match[0]

        return _PLACEHOLDER.sub(written, text)
