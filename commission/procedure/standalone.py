"""Checking any file an author writes: a procedure, a fragment by itself, or a controller sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from commission.procedure import model, yaml12
from commission.procedure.check import check
from commission.procedure.load import find_beside, loads, read_text
from commission.procedure.problems import Problem, in_order, problem
from commission.procedure.refusals import validated
from commission.procedure.sheet import loads_sheet

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


_HEADS: Final = frozenset({"procedure", "stages", "fragment", "sheet"})
_EXPECTED: Final = "a procedure, a fragment or a controller sheet"
_HINT: Final = "Its head begins with the key procedure, fragment or sheet."


def check_file(file: str | Path | Traversable) -> tuple[Problem, ...]:
    """Return everything that is wrong with a file, by what its head says it is.

    A fragment is checked as far as it can be without the procedure that includes it: its head, its
    parameters, and its steps' shapes where every parameter has a default.
    """
    path = Path(file) if isinstance(file, str) else file
    text = read_text(path)
    if isinstance(text, Problem):
        return (text,)
    document = yaml12.build(text, str(path))
    head = document.data if isinstance(document.data, dict) else {}
    if head and not _HEADS & head.keys():
        told = problem(document.places.at(()), "none of our files", "", _EXPECTED, _HINT)
        return in_order((*document.problems, told))
    if "sheet" in head and "procedure" not in head:
        return loads_sheet(text, str(path)).problems
    if "fragment" in head and "procedure" not in head:
        return _check_fragment(document, text, str(path))
    return check(loads(text, str(path), find_beside))


def _check_fragment(document: yaml12.Document, text: str, file: str) -> tuple[Problem, ...]:
    problems = document.problems
    head = validated(model.Fragment, document.data, document.places, problems)
    if head is None:
        return in_order(problems)
    for name in head.parameters:
        if f"${{{name}}}" not in text:
            place = document.places.at(("parameters", name), key=True)
            told = problem(place, "a parameter that is used nowhere", name)
            problems.append(told.as_warning())
    given = {name: parameter for name, parameter in head.parameters.items() if parameter}
    if all(name in given and given[name].default is not None for name in head.parameters):
        problems.extend(_shapes(head, text, file))
    return in_order(problems)


def _shapes(head: model.Fragment, text: str, file: str) -> list[Problem]:
    """Return what is wrong with the fragment's steps when it is included without arguments."""
    around = (
        "procedure: x\nrevision: 1\ntitle: x\npurpose: x\n"
        f"stages: [{{id: x, title: x, steps: [{{include: {head.fragment}}}]}}]\n"
    )

    def find(name: str, including: str) -> tuple[str, str] | None:
        itself = name == head.fragment and including == "<around>"
        return (file, text) if itself else find_beside(name, file)

    loaded = loads(around, "<around>", find)
    return [each for each in loaded.problems if each.file != "<around>"]
