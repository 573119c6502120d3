"""From a YAML file to a `Procedure`, or to everything that is wrong with it.

`load` reads, includes fragments and validates shapes; what needs the whole procedure (names, types,
dimensions, prose) is `check`'s. Nothing here raises for what a file may hold: all of it is
`Problem` values, in the order of the file.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pydantic import ValidationError

from commission.errors import ProcedureError
from commission.procedure import model, yaml12
from commission.procedure.fragments import Find, Inclusion
from commission.procedure.places import Places
from commission.procedure.problems import Place, Problem, in_order, problem
from commission.procedure.refusals import validated

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

_TRUTHS: Final = {"yes": True, "no": False}


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a file came to."""

    procedure: model.Procedure | None
    """None where there are errors."""
    problems: tuple[Problem, ...]
    text: str
    """The whole procedure, fragments resolved, as canonical JSON; empty where there are errors."""
    digest: str
    """SHA-256 of `text` in UTF-8, as hexadecimal digits; empty where there are errors."""
    places: Places = field(default_factory=Places, repr=False, compare=False)
    """Where the procedure's parts stand, by their path."""


def load(path: str | Path | Traversable) -> Loaded:
    """Return what a file holds; a file that cannot be read is a problem like any other."""
    file = Path(path) if isinstance(path, str) else path
    text = read_text(file)
    if isinstance(text, Problem):
        return Loaded(None, (text,), "", "", Places())
    return loads(text, str(file), find_beside)


def loads(text: str, name: str = "<text>", find: Find | None = None) -> Loaded:
    """Return what a text holds; `find` gives fragments, by default the shipped ones."""
    document = yaml12.build(text, name)
    problems, places = document.problems, document.places
    data = document.data
    if isinstance(data, dict):
        if "fragment" in data and "procedure" not in data:
            hint = "Fragments are included by procedures."
            problems.append(problem(places.at(()), "a fragment, not a procedure", hint=hint))
            return _refused(problems, places)
        inclusion = Inclusion(find or find_shipped, places, problems)
        inclusion.resolve(data)
        _write_out(data)
    elif document.data is None and problems:
        return _refused(problems, places)
    procedure = validated(model.Procedure, data, places, problems)
    if procedure is None or any(each.is_error for each in problems):
        return _refused(problems, places)
    canonical = canonical_text(data)
    digest = hashlib.sha256(canonical.encode()).hexdigest()
    return Loaded(procedure, in_order(problems), canonical, digest, places)


def from_record(text: str) -> model.Procedure:
    """Return the procedure that a job's record embeds, without checking it again.

    Raises:
        ProcedureError: the text is no procedure of this version.
    """
    try:
        return model.Procedure.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ProcedureError(
            f"The procedure in the record cannot be used: {where}: {first['msg']}."
        ) from error


def canonical_text(data: object) -> str:
    """Return data as JSON with sorted keys and no spaces: the same data, the same text."""
    return json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def checklists() -> Traversable:
    """Return the folder of shipped checklists: inside the package, or beside it in the source."""
    inside = resources.files("commission") / "checklists"
    return inside if inside.is_dir() else Path(__file__).parents[2] / "checklists"


def shipped() -> list[tuple[str, str, Traversable]]:
    """Return slug, title and file of each shipped procedure, ordered by slug."""
    found: list[tuple[str, str, Traversable]] = []
    folder = checklists()
    for file in sorted(folder.iterdir() if folder.is_dir() else (), key=lambda each: each.name):
        if file.name.endswith(".yaml") and isinstance(text := read_text(file), str):
            head = yaml12.build(text, file.name).data
            if isinstance(head, dict) and "procedure" in head:
                found.append((str(head["procedure"]), str(head.get("title", "")), file))
    return found


def find_shipped(name: str, including: str) -> tuple[str, str] | None:  # noqa: ARG001  as `Find`
    """Return file and text of a shipped fragment."""
    file = checklists() / "fragments" / f"{name}.yaml"
    text = read_text(file) if file.is_file() else None
    return (str(file), text) if isinstance(text, str) else None


def find_beside(name: str, including: str) -> tuple[str, str] | None:
    """Return file and text of a fragment near the including file, or of a shipped one."""
    folder = Path(including).parent
    for file in (folder / "fragments" / f"{name}.yaml", folder / f"{name}.yaml"):
        text = read_text(file) if file.is_file() else None
        if isinstance(text, str):
            return str(file), text
    return find_shipped(name, including)


def read_text(file: Path | Traversable) -> str | Problem:
    """Return a file's text, or why it cannot be read."""
    place = Place(str(file))
    try:
        if file.is_dir():
            return problem(place, "a folder", expected="a YAML file")
        if not file.is_file():
            return problem(place, "no such file", hint="Look at the name and the folder.")
        with file.open("rb") as stream:
            raw = stream.read(yaml12.LARGEST + 1)
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or str(error)
        return problem(place, f"cannot be read: {said}")
    if len(raw) > yaml12.LARGEST:
        return problem(place, f"larger than {yaml12.LARGEST} bytes")
    return decoded(raw, str(file))


def decoded(raw: bytes, file: str) -> str | Problem:
    """Return bytes as text: UTF-8, with or without a byte order mark."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return problem(Place(file, 1, 1), "encoded as UTF-16", "", "UTF-8", "Save it as UTF-8.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - raw.rfind(b"\n", 0, error.start)
        got, hint = f"byte 0x{raw[error.start]:02X}", "Save it as UTF-8."
        return problem(Place(file, line, column), "not UTF-8 text", got, "UTF-8", hint)


def _refused(problems: list[Problem], places: Places) -> Loaded:
    return Loaded(None, in_order(problems), "", "", places)


def _write_out(data: dict[str, Any]) -> None:
    """Turn what may be written short into what it means.

    `intended: coast` of a choice becomes `'coast'`, and `yes` of a yes_no becomes true; a `write`
    of `all` settings names every one that has an intended value.
    """
    for key, field_name in (("facts", "default"), ("settings", "intended")):
        for thing in _mappings(data.get(key)):
            if isinstance(thing.get(field_name), str):
                thing[field_name] = _meant(thing, thing[field_name])
    settings = [each["id"] for each in _mappings(data.get("settings"))
                if "id" in each and "intended" in each]  # fmt: skip
    for stage in _mappings(data.get("stages")):
        _write_out_steps(stage.get("steps"), settings)


def _write_out_steps(steps: object, settings: list[Any]) -> None:
    for step in _mappings(steps):
        if step.get("kind") == "write" and step.get("settings") == "all":
            step["settings"] = list(settings)
        on_fail = step.get("on_fail")
        _write_out_steps(on_fail.get("remedy") if isinstance(on_fail, dict) else None, settings)


def _mappings(things: object) -> list[dict[str, Any]]:
    return [each for each in things if isinstance(each, dict)] if isinstance(things, list) else []


def _meant(thing: dict[str, Any], written: str) -> str | bool:
    choices = thing.get("choices")
    if thing.get("type") == "choice" and isinstance(choices, list) and written in choices:
        return f'"{written}"' if "'" in written else f"'{written}'"
    if thing.get("type") == "yes_no" and written in _TRUTHS:
        return _TRUTHS[written]
    return written
