"""Fragments: parameters, prefixes, places, and what cannot be included."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.procedure import model
from commission.procedure.load import Loaded, load, loads
from commission.procedure.prefixes import put_prefix

if TYPE_CHECKING:
    from pathlib import Path

HEAD = """\
procedure: whole
revision: 1
title: Whole
purpose: To include.
facts: [{id: cells, label: Cells, type: integer}]
stages:
  - id: only
    title: Only
    steps:
"""
FRAGMENT = """\
fragment: part
revision: 1
title: Part
parameters:
  limit: {help: The upper limit.}
  runs: {default: 3}
  name: {default: pack}
equipment:
  - {id: meter, label: Meter, kind: multimeter}
facts:
  - {id: cable, label: "Length of ${name} cable", type: quantity, unit: m}
steps:
  - kind: measure
    id: volts
    title: Measure the ${name} voltage
    unit: V
    instrument: meter
    limits: {max: "${limit}"}
  - kind: measure
    id: again
    title: Measure again
    unit: V
    limits: {target: "volts + cells * 1[V]", tolerance: "cable / 1[m] * 1[V]"}
    when: volts > 3[V] and cells > 2
    rests_on: [volts]
  - kind: series
    id: many
    title: Measure many
    runs: ${runs}
    columns: [{id: volts, label: V, unit: V, target: volts, within: "1[V]"}]
"""


def include(items: str, **files: str) -> Loaded:
    texts = {"part": FRAGMENT, **files}

    def find(name: str, _: str) -> tuple[str, str] | None:
        return (f"{name}.yaml", texts[name]) if name in texts else None

    return loads(HEAD + items, "whole.yaml", find)


def steps_of(loaded: Loaded) -> dict[str, model.StepBase]:
    assert [str(each) for each in loaded.problems] == []
    assert loaded.procedure is not None
    return {step.id: step for step in loaded.procedure.steps()}


def test_parameters_take_their_place_with_their_type() -> None:
    loaded = include("      - {include: part, with: {limit: '60[V]', runs: 5}}\n")
    steps = steps_of(loaded)
    assert list(steps) == ["volts", "again", "many"]
    many, volts = steps["many"], steps["volts"]
    assert isinstance(many, model.Series)
    assert many.runs == 5
    assert volts.title == "Measure the pack voltage"
    assert volts.limits is not None
    assert volts.limits.max == "60[V]"


def test_facts_and_equipment_come_along_once() -> None:
    item = "      - {include: part, with: {limit: '1[V]'}, prefix: PREFIX}\n"
    loaded = include(item.replace("PREFIX", "a_") + item.replace("PREFIX", "b_"))
    assert loaded.procedure is not None
    assert [each.id for each in loaded.procedure.equipment] == ["meter"]
    assert [each.id for each in loaded.procedure.facts] == ["cells", "a_cable", "b_cable"]


def test_a_prefix_goes_before_declared_ids_and_their_references_only() -> None:
    loaded = include("      - {include: part, with: {limit: volts_max}, prefix: x_}\n")
    steps = steps_of(loaded)
    assert list(steps) == ["x_volts", "x_again", "x_many"]
    again, many = steps["x_again"], steps["x_many"]
    assert again.rests_on == ("x_volts",)
    assert again.when == "x_volts > 3[V] and cells > 2"
    assert again.limits is not None
    assert again.limits.target == "x_volts + cells * 1[V]"
    assert again.limits.tolerance == "x_cable / 1[m] * 1[V]"
    assert isinstance(many, model.Series)
    assert many.columns[0].id == "volts"
    assert many.columns[0].target == "x_volts"
    assert steps["x_volts"].instrument == "meter"


def test_what_a_result_must_be_is_prefixed_too() -> None:
    step = {"id": "sum", "limits": {"is": "wanted"}, "inputs": {"current": "amps * 2"}}
    put_prefix([step], {"sum": "x_sum", "wanted": "x_wanted", "amps": "x_amps"})
    assert step["limits"] == {"is": "x_wanted"}
    assert step["inputs"] == {"current": "x_amps * 2"}


def test_what_is_given_is_never_taken_for_a_name_of_the_fragment() -> None:
    steps = steps_of(include("      - {include: part, with: {limit: volts}, prefix: x_}\n"))
    limits = steps["x_volts"].limits
    assert limits is not None
    assert limits.max == "volts"


def test_values_cannot_add_structure() -> None:
    evil = "'x\\n    kind: confirm, when: true}'"
    steps = steps_of(include(f"      - {{include: part, with: {{limit: '1[V]', name: {evil}}}}}\n"))
    assert steps["volts"].title == "Measure the x\\n    kind: confirm, when: true} voltage"
    assert steps["volts"].when is None


def test_fragments_may_include_fragments_and_remedies_may() -> None:
    outer = """\
fragment: outer
revision: 1
title: Outer
parameters: {top: }
steps:
  - kind: confirm
    id: first
    title: Look
    on_fail:
      remedy:
        - {include: part, with: {limit: "${top} * 2"}}
  - {kind: confirm, id: last, title: Look again, when: 'volts > 1[V]'}
"""
    item = "      - {include: outer, with: {top: 'cells * 3[V]'}, prefix: o_}\n"
    steps = steps_of(include(item, outer=outer))
    assert list(steps) == ["o_volts", "o_again", "o_many", "o_first", "o_last"]
    assert steps["o_volts"].limits is not None
    assert steps["o_volts"].limits.max == "cells * 3[V] * 2"
    assert steps["o_last"].when == "o_volts > 1[V]"


@pytest.mark.parametrize(
    ("item", "where", "words"),
    [
        ("{include: prat}", "whole.yaml:10:19", "no such fragment"),
        ("{include: ../part}", "whole.yaml:10:19", "a name that is not possible"),
        ("{include: part}", "whole.yaml:10:19", "limit is missing"),
        ("{include: part, with: {limit: 1, limt: 2}}", "whole.yaml:10:42", "Did you mean limit?"),
        ("{include: part, wiht: {limit: 1}}", "whole.yaml:10:25", "Did you mean with?"),
        ("{include: part, with: {limit: {a: 1}}}", "whole.yaml:10:39", "no value"),
        ("{include: part, with: {limit: 1}, prefix: X}", "whole.yaml:10:51", "not possible"),
        ("{include: circle}", "circle.yaml:4:19", "includes itself"),
        ("{include: typo}", "typo.yaml:5:39", "included at whole.yaml:10"),
        ("{include: shape}", "shape.yaml:4:42", "Did you mean title?"),
        ("{include: broken}", "broken.yaml:1:5", "not readable"),
        ("{include: headless}", "headless.yaml:1:1", "the key revision is missing"),
        ("{include: clash}", "clash.yaml:4:14", "declared differently"),
        ("{include: list}", "list.yaml:5:39", "a list inside a text"),
    ],
)
def test_what_cannot_be_included_is_told_at_its_place(item: str, where: str, words: str) -> None:
    head = "revision: 1\ntitle: T\n"
    loaded = include(
        f"      - {item}\n",
        circle=f"fragment: circle\n{head}steps: [{{include: circle}}]\n",
        typo=f"fragment: typo\n{head}parameters: {{a: {{default: 1}}}}\n"
        "steps: [{kind: confirm, id: a, title: 'Look ${b}'}]\n",
        shape=f"fragment: shape\n{head}steps: [{{kind: confirm, id: bb1, xyz: 1, titel: Look}}]\n",
        broken="a: b: c",
        headless="fragment: headless\ntitle: T\nsteps: [{}]\n",
        clash=f"fragment: clash\n{head}facts: [{{id: cells, label: Other, type: integer}}]\n"
        "steps: [{kind: confirm, id: a, title: Look}]\n",
        list=f"fragment: list\n{head}parameters: {{a: {{default: [1, 2]}}}}\n"
        "steps: [{kind: confirm, id: a, title: 'Look ${a}'}]\n",
    )
    assert loaded.procedure is None
    told = [str(each) for each in loaded.problems]
    assert [each for each in told if each.startswith(f"{where}: ") and words in each], told
    assert len(told) == (2 if "shape" in item else 1), told


def test_fragments_are_found_beside_the_including_file(tmp_path: Path) -> None:
    folder = tmp_path / "fragments"
    folder.mkdir()
    (folder / "part.yaml").write_text(FRAGMENT, encoding="utf-8")
    file = tmp_path / "whole.yaml"
    file.write_text(HEAD + "      - {include: part, with: {limit: '1[V]'}}\n", encoding="utf-8")
    assert load(file).problems == ()


def test_including_without_end_is_bounded() -> None:
    files = {
        f"f{level}": f"fragment: f{level}\nrevision: 1\ntitle: T\n"
        f"steps: [{', '.join(['{include: f' + str(level + 1) + '}'] * 9)}]\n"
        for level in range(7)
    }
    files["f7"] = (
        "fragment: f7\nrevision: 1\ntitle: T\nsteps: [{kind: confirm, id: a, title: Look}]\n"
    )
    loaded = include("      - include: f0\n", **files)
    assert loaded.procedure is None
    assert any("includes" in str(each) for each in loaded.problems)
