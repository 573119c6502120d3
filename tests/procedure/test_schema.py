"""The editors' schema accepts what the loader accepts, and refuses common mistakes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest

from commission.procedure.load import checklists
from commission.procedure.schema import schema
from commission.procedure.yaml12 import build


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    made = schema()
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


def _shipped() -> list[tuple[str, Any]]:
    """Return every shipped file that is a procedure, a fragment or a controller sheet."""
    found = []
    for file in sorted(Path(str(checklists())).rglob("*.yaml")):
        data = build(file.read_text(encoding="utf-8"), file.name).data
        if {"procedure", "fragment", "sheet"} & data.keys():
            found.append((file.name, data))
    return found


def test_shipped_files_are_valid(validator: jsonschema.Draft202012Validator) -> None:
    found = _shipped()
    assert any("procedure" in data for _, data in found)
    assert any("fragment" in data for _, data in found)
    for name, data in found:
        assert [error.message for error in validator.iter_errors(data)] == [], name


STEP = "{kind: measure, id: a, title: Measure it, unit: V, %s}"
PROCEDURE = (
    "procedure: x\nrevision: 1\ntitle: T\npurpose: P\nstages: [{id: s, title: S, steps: [%s]}]\n"
)
CAUTION = "{signal: NOTICE, hazard: h, consequence: c, avoidance: a}"


@pytest.mark.parametrize(
    ("text", "valid"),
    [
        (PROCEDURE % (STEP % "limits: {min: 3, max: '4[V]'}"), True),
        (PROCEDURE % "{kind: calculate, id: a, title: Compute, calculator: bonding, judge: passes, "
         "limits: {is: true}}", True),
        ("settings: [{id: a, label: A, type: quantity, unit: deg, circular: true}]\n"
         + PROCEDURE % (STEP % "why: w"), True),
        (PROCEDURE % (STEP % f"caution: {CAUTION}"), True),
        (PROCEDURE % (STEP % f"caution: [{CAUTION}, {CAUTION}]"), True),
        (PROCEDURE % "{include: part, with: {a: 1}, prefix: x_}", True),
        (PROCEDURE % (STEP % "on_fail: {remedy: [{include: part}]}"), True),
        ("facts: [{include: bike, only: [cells]}]\n" + PROCEDURE % (STEP % "why: w"), True),
        ("settings: [{include: bike, intended: {a: low}}]\n" + PROCEDURE % (STEP % "why: w"), True),
        (PROCEDURE % "{kind: write, id: a, title: Write all, settings: all}", True),
        ("settings: [{include: bike, intend: {a: low}}]\n" + PROCEDURE % (STEP % "why: w"), False),
        (PROCEDURE % "{kind: cross_check, id: a, title: Hold all values against each other}", True),
        (PROCEDURE % "{kind: cross_check, id: a, title: Hold some, checks: [fuse-current]}", True),
        (PROCEDURE % "{kind: cross_check, id: a, title: Hold none, checks: none}", False),
        ("roles: {fuse_rating: '150[A]', gear_ratio: 7.5}\n" + PROCEDURE % (STEP % "why: w"), True),
        ("roles: {fuse_ratings: '150[A]'}\n" + PROCEDURE % (STEP % "why: w"), False),
        (PROCEDURE % (STEP % "digits: '${n}'"), False),
        (PROCEDURE % (STEP % "limit: 3"), False),
        (PROCEDURE % "{kind: mesure, id: a, title: Measure it}", False),
        (PROCEDURE % "{includ: part}", False),
        (PROCEDURE.replace("revision: 1\n", "") % (STEP % "why: w"), False),
        ("fragment: f\nrevision: 1\ntitle: F\nparameters: {n: }\nsteps: ["
         + STEP % "digits: '${n}'" + "]\n", True),
        ("fragment: f\nrevision: 1\ntitle: F\nsteps: [" + STEP % "limit: 3" + "]\n", False),
        ("sheet: s\nrevision: 1\ntitle: S\nsettings: [{setting: a, found_at: here}]\n", True),
        ("sheet: s\nrevision: 1\ntitle: S\nsettings: [{setting: a}]\n", False),
    ],
)  # fmt: skip
def test_what_authors_write(
    validator: jsonschema.Draft202012Validator, text: str, *, valid: bool
) -> None:
    document = build(text, "f")
    assert document.problems == []
    assert validator.is_valid(document.data) is valid
