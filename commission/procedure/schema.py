"""A JSON Schema of what authors write, for editors: looser than the models where authors are free.

Made from the models, then widened: lists of steps, facts, settings and
equipment may hold includes, one caution may stand without
a list, and inside a fragment any value may be a `${parameter}`. Editors check shapes with it; what
needs the whole procedure stays with `commission check`.
"""

from __future__ import annotations

from typing import Any, Final

from commission.crosschecks.roles import ROLES
from commission.procedure import model

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
_PLACEHOLDER: Final = {"type": "string", "pattern": r"\$\{[a-z][a-z0-9_]*\}"}
_TEMPLATES: Final = "Template"
_HEADS: Final = (
    "Procedure", "Fragment", "ControllerSheet", "Include", "IncludeValues", "Parameter",
)  # fmt: skip
Json = dict[str, Any]


def schema() -> Json:
    """Return the schema of a procedure, a fragment or a controller sheet."""
    definitions: Json = {}
    kinds = (
        model.Procedure, model.Fragment, model.ControllerSheet, model.Include, model.IncludeValues,
    )  # fmt: skip
    for kind in kinds:
        made = kind.model_json_schema(ref_template="#/$defs/{model}", mode="validation")
        definitions.update(made.pop("$defs", {}))
        definitions[kind.__name__] = made
    definitions["Step"] = {"oneOf": [_ref(name) for name in _steps(definitions)]}
    for name in ("Stage", "OnFail"):
        for key in ("steps", "remedy"):
            listed = definitions[name]["properties"].get(key)
            if listed is not None:
                listed["items"] = {"anyOf": [_ref("Step"), _ref("Include")]}
    procedure = definitions["Procedure"]["properties"]
    procedure["roles"]["propertyNames"] = {"enum": list(ROLES)}
    for key in ("facts", "settings", "equipment"):
        listed = procedure[key]
        listed["items"] = {"anyOf": [listed["items"], _ref("IncludeValues")]}
    for name in _steps(definitions):
        _widen_caution(definitions[name])
    _widen_values(definitions)
    _add_templates(definitions)
    return {
        "$schema": DIALECT,
        "title": "commission: procedures, fragments, controller sheets",
        "$defs": dict(sorted(definitions.items())),
        "type": "object",
        "if": {"required": ["fragment"]},
        "then": _ref("Fragment"),
        "else": {
            "if": {"required": ["sheet"]},
            "then": _ref("ControllerSheet"),
            "else": _ref("Procedure"),
        },
    }


def _ref(name: str) -> Json:
    return {"$ref": f"#/$defs/{name}"}


def _steps(definitions: Json) -> list[str]:
    """Return the names of the kinds of steps."""
    return [
        name for name, each in definitions.items()
        if "kind" in each.get("properties", {}) and "const" in each["properties"]["kind"]
    ]  # fmt: skip


def _widen_caution(step: Json) -> None:
    one = _ref("Caution")
    kept = {"description": step["properties"]["caution"].get("description", "")}
    many = {"type": "array", "items": one}
    step["properties"]["caution"] = {"anyOf": [one, many], **kept}


def _widen_values(definitions: Json) -> None:
    """Let `intended` and `default` be any scalar, as choices are written, and a write be of all."""
    for name, key in (("Fact", "default"), ("Setting", "intended")):
        definitions[name]["properties"][key]["anyOf"] = [
            {"type": ["string", "number", "boolean", "null"]}
        ]
    written = definitions["Write"]["properties"]["settings"]
    kept = {"description": written.pop("description", "")}
    definitions["Write"]["properties"]["settings"] = {"anyOf": [{"const": "all"}, written], **kept}


def _add_templates(definitions: Json) -> None:
    """Give a fragment's steps, facts and settings definitions in which placeholders may stand."""
    made = {
        _TEMPLATES + name: _template(each)
        for name, each in definitions.items()
        if name not in _HEADS
    }
    definitions.update(made)
    fragment = definitions["Fragment"]["properties"]
    fragment["steps"]["items"] = {"anyOf": [_ref(f"{_TEMPLATES}Step"), _ref("Include")]}
    for key, name in (("facts", "Fact"), ("settings", "Setting"), ("equipment", "Equipment")):
        fragment[key]["items"] = _ref(_TEMPLATES + name)


def _template(node: Any) -> Any:  # noqa: ANN401  any JSON
    """Return a schema that takes a placeholder wherever a value stands."""
    if isinstance(node, list):
        return [_template(each) for each in node]
    if not isinstance(node, dict):
        return node
    new: Json = {}
    for key, value in node.items():
        if key == "$ref":
            name = value.rpartition("/")[2]
            new[key] = value if name in _HEADS else f"#/$defs/{_TEMPLATES}{name}"
        elif key == "properties":
            new[key] = {
                name: each if name in ("kind", "id") else _or_placeholder(_template(each))
                for name, each in value.items()
            }
        elif key in ("items", "prefixItems"):
            new[key] = _or_placeholder(_template(value)) if isinstance(value, dict) else [
                _or_placeholder(_template(each)) for each in value
            ]  # fmt: skip
        elif key != "discriminator":
            new[key] = _template(value)
    return new


def _or_placeholder(node: Json) -> Json:
    return {"anyOf": [node, dict(_PLACEHOLDER)]}
