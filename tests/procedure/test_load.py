"""Loading: every problem at its place, none twice, none a traceback."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.errors import ProcedureError
from commission.procedure.load import (
    Loaded,
    decoded,
    from_record,
    load,
    loads,
    shipped,
)
from commission.procedure.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Marked = Callable[[str], Loaded]

STEP = "{kind: confirm, id: a, title: Put the bike on its stand}"
SMALL = f"""\
procedure: small
revision: 3
title: Small
purpose: To be loaded.
stages:
  - id: only
    title: Only
    steps:
      - {STEP}
"""


def test_a_whole_procedure_loads_without_problems() -> None:
    loaded = loads(SMALL)
    assert loaded.problems == ()
    assert loaded.procedure is not None
    assert loaded.procedure.stages[0].steps[0].title == "Put the bike on its stand"


def test_the_text_is_canonical_and_its_digest_is_its_sha256() -> None:
    loaded = loads(SMALL)
    assert loaded.digest == hashlib.sha256(loaded.text.encode()).hexdigest()
    assert loaded.text == loads("# a comment\n" + SMALL.replace("Small", "'Small'")).text
    keys = list(json.loads(loaded.text))
    assert keys == sorted(keys)


def test_a_record_gives_back_the_same_procedure() -> None:
    loaded = loads(SMALL)
    assert from_record(loaded.text) == loaded.procedure


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"procedure": 1}', "not json"])
def test_a_text_that_is_no_procedure_is_refused_as_a_record(text: str) -> None:
    with pytest.raises(ProcedureError, match="record cannot be used"):
        from_record(text)


@pytest.mark.parametrize(
    "text",
    [
        """
        procedure: Bad Name   # ! a name that is not possible
        revision: 0           # ! out of range
        titel: A test         # ! Did you mean title?
        purpose: 010          # ! expected a text
        stages:
          - id: a
            title: A
            steps:
              - kind: mesure  # ! Did you mean measure?
                id: x
                title: Measure it
              - kind: measure
                id: y
                title: Measure it
                unti: V       # ! Did you mean unit?
                hold: techncian     # ! one of witness, lead
                limits: {min: [1], mx: 3}  # ! a wrong kind of value in min // Did you mean max?
                caution:
                  signal: WARN      # ! Did you mean WARNING?
                  hazard: x
                  consequence: y
                  avoidance: z
              - id: z         # ! without the key kind
                title: Look
              - kind: choose
                id: q
                title: Choose it
                options: [a]  # ! at least 2 items
              - kind: power_cycle
                id: c
                title: Cycle it
                cycle: warm   # ! one of key, cold
                cycles: 2.5   # ! a whole number
                off_for: 10[s]
                settings: 3   # ! settings
          - id: b
            title: B
            steps: []         # ! at least 1 item
          - nothing           # ! expected a mapping
        """,
        """
        procedure: x
        revision: '1'         # ! a whole number
        title:                # ! expected a text
        purpose: x
        hazards: yes          # ! expected a list
        facts: [1]            # ! expected a mapping
        stages: {}            # ! expected a list
        """,
        """
        procedure: x    # ! the key revision is missing // title is missing // purpose // stages
        """,
    ],
)
def test_shapes_are_told_where_they_are_wrong(loading: Marked, text: str) -> None:
    import textwrap

    loaded = loading(textwrap.dedent(text).lstrip())
    assert loaded.procedure is None
    assert loaded.text == loaded.digest == ""


def test_one_caution_or_several_may_be_written() -> None:
    one = "{signal: NOTICE, hazard: h, consequence: c, avoidance: a}"
    for written, count in ((one, 1), (f"[{one}, {one}]", 2), ("null", 0)):
        text = SMALL.replace("kind: confirm", f"caution: {written}, kind: confirm")
        procedure = loads(text).procedure
        assert procedure is not None
        assert len(procedure.stages[0].steps[0].cautions) == count


def test_a_choice_may_be_intended_as_it_is_written() -> None:
    settings = (
        "settings:\n"
        "  - {id: a, label: A, type: choice, choices: [km/h, mph], intended: km/h}\n"
        "  - {id: b, label: B, type: yes_no, intended: yes}\n"
    )
    procedure = loads(SMALL + settings).procedure
    assert procedure is not None
    assert [each.intended for each in procedure.settings] == ["'km/h'", True]


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"\xff\xfea\x00", "UTF-16"),
        (b"a: \xe9\n", "not UTF-8"),
        (b"\x7fELF\x02\x01\x01\x00\x00", "hidden control character"),
        (b"", "empty"),
        (b"- a\n", "expected a mapping"),
        (b"just words", "expected a mapping"),
        (b"fragment: x\nrevision: 1\n", "a fragment, not a procedure"),
    ],
)
def test_files_that_are_no_procedures_are_one_problem(
    tmp_path: Path, raw: bytes, words: str
) -> None:
    file = tmp_path / "f.yaml"
    file.write_bytes(raw)
    loaded = load(file)
    assert loaded.procedure is None
    assert len(loaded.problems) == 1
    assert words in str(loaded.problems[0])
    assert loaded.problems[0].file == str(file)


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path: Path) -> None:
    file = tmp_path / "f.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + SMALL.encode())
    assert load(file).procedure is not None


def test_a_file_that_is_missing_or_a_folder_is_a_problem(tmp_path: Path) -> None:
    for path, words in ((tmp_path / "none.yaml", "no such file"), (tmp_path, "a folder")):
        loaded = load(path)
        assert [each.line for each in loaded.problems] == [0]
        assert words in str(loaded.problems[0])
    assert "f\0" in load("f\0").problems[0].file


@given(st.binary(max_size=300))
def test_no_bytes_raise(raw: bytes) -> None:
    text = decoded(raw, "f")
    problems = (text,) if isinstance(text, Problem) else loads(text, "f").problems
    assert problems


@given(st.data())
def test_no_damage_to_a_procedure_raises(data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(SMALL)))
    end = data.draw(st.integers(start, min(len(SMALL), start + 20)))
    text = SMALL[:start] + data.draw(st.text("a:-[]{}#'\" \n1,&*!", max_size=6)) + SMALL[end:]
    loaded = loads(text, "f")
    assert (loaded.procedure is None) == any(each.is_error for each in loaded.problems)


_KEYS = st.sampled_from(
    ["procedure", "stages", "steps", "id", "kind", "on_fail", "remedy", "include", "with", "x",
     "limits", "caution", "settings", "facts", "options", "prefix", "range"]
)  # fmt: skip
_TREES = st.recursive(
    st.none() | st.integers(-3, 3) | st.sampled_from(["measure", "write", "a", "3[V]", "frag"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=5),
    max_leaves=25,
)


@given(_TREES)
def test_no_shape_raises(tree: object) -> None:
    text = json.dumps({"procedure": "x", "stages": [{"steps": tree}], "facts": tree})
    loaded = loads(text, "f", lambda _name, _file: None)
    assert loaded.procedure is None
    assert all(each.what for each in loaded.problems)


def test_shipped_procedures_load() -> None:
    found = shipped()
    assert found
    for slug, title, file in found:
        loaded = load(file)
        assert [str(each) for each in loaded.problems if each.is_error] == []
        assert loaded.procedure is not None
        assert (loaded.procedure.procedure, loaded.procedure.title) == (slug, title)
        assert from_record(loaded.text) == loaded.procedure


def test_a_problem_prints_as_one_line_with_all_its_parts() -> None:
    told = Problem("f.yaml", 3, 5, "unknown key", "titel", "one of title", "Did you mean title?")
    assert str(told) == (
        "f.yaml:3:5: unknown key; got titel; expected one of title; Did you mean title?"
    )
    assert str(told.as_warning()).startswith("f.yaml:3:5: warning: ")
