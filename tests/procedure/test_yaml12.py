"""What YAML text becomes: the core schema of YAML 1.2.2, bounds, and places of what is wrong."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.procedure import yaml12
from commission.procedure.load import canonical_text
from commission.procedure.yaml12 import build


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # YAML 1.2.2, chapter 10.3.2 (core schema): tag resolution
        ("null", None), ("Null", None), ("NULL", None), ("~", None), ("", None),
        ("true", True), ("True", True), ("FALSE", False),
        ("0", 0), ("-0", 0), ("+3", 3), ("0o7", 7), ("0x3A", 58), ("-19", -19),
        ("0.", 0.0), ("-0.0", -0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -200000.0),
        # what YAML 1.1 made of these, 1.2 does not
        ("off", "off"), ("no", "no"), ("yes", "yes"), ("y", "y"), ("On", "On"),
        ("1:30", "1:30"), ("190:20:30", "190:20:30"), ("010", 10), ("1_000", "1_000"),
        ("2024-01-01", "2024-01-01"), ("0b11", "0b11"), ("=", "="), ("1.5.2", "1.5.2"),
        ("tRue", "tRue"), ("'10'", "10"), ('"true"', "true"), ("1e", "1e"), ("+", "+"), (".", "."),
    ],
)  # fmt: skip
def test_plain_scalars_follow_the_core_schema(text: str, expected: object) -> None:
    document = build(f"value: {text}\n", "f")
    assert document.problems == []
    assert document.data == {"value": expected}
    assert type(document.data["value"]) is type(expected)


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a: 1\nb: 2\na: 3\n", 3, 1, "stands twice"),
        ("a: {b: 1, b: 2}", 1, 11, "stands twice"),
        ("a: !!python/name:os.system x", 1, 4, "a tag"),
        ("a: !!str 1", 1, 4, "a tag"),
        ("a: !own [1]", 1, 4, "a tag"),
        ("a: &x {b: 1}\nc:\n  <<: *x\n", 3, 3, "merge key"),
        ("a: .inf", 1, 4, "not finite"),
        ("a: 1e999", 1, 4, "not finite"),
        ("a: " + "9" * 5000, 1, 4, "too long a number"),
        ("1: a", 1, 1, "no text"),
        ("~: a", 1, 1, "no text"),
        ("? [a]\n: 1", 1, 3, "no text"),
        ("a: &x 1\n*x : 2", 2, 1, "alias as a key"),
        ("a: *x", 1, 4, "without an anchor"),
        ("a: &x [1, *x]", 1, 11, "what it stands in"),
        ("a: 1\n---\nb: 2", 2, 1, "second document"),
        ("a:\n\tb: 1", 2, 1, "tabs"),
        ("a: b: c", 1, 5, "colon"),
        ("a: 'x\n", 2, 1, "not readable"),
        ("a: \x07", 1, 4, "U+0007"),
        ("a: \u202e", 1, 4, "U+202E"),
        ("a: \ud800", 1, 4, "U+D800"),
        ("", 0, 0, "empty file"),
        ("# only a comment\n", 0, 0, "empty file"),
    ],
)
def test_what_is_refused_is_told_at_its_place(
    text: str, line: int, column: int, words: str
) -> None:
    problems = build(text, "f.yaml").problems
    assert [(each.line, each.column) for each in problems] == [(line, column)]
    assert words in str(problems[0])


def test_several_problems_are_told_together() -> None:
    problems = build("a: 1\na: 2\nb: !x 1\n<<: 1\n", "f").problems
    assert [each.line for each in problems] == [2, 3, 4]


def test_aliases_are_copies_of_what_they_stand_for() -> None:
    assert build("a: &x {b: [1, 2]}\nc: *x\n", "f").data == {"a": {"b": [1, 2]}, "c": {"b": [1, 2]}}


def test_a_billion_laughs_are_refused_after_few_nodes() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    for level in range(1, 12):
        inside = ", ".join([f"*a{level - 1}"] * 10)
        lines.append(f"a{level}: &a{level} [{inside}]")
    document = build("\n".join(lines), "f")
    assert document.data is None
    assert "nodes" in str(document.problems[0])
    # Counted, not timed: what was really built are the containers with a place.
    assert len(document.places.entries) < 20


def test_many_small_aliases_are_refused() -> None:
    text = "a: &a 1\nb: [" + "*a, " * (yaml12.MOST_ALIASES + 1) + "]"
    assert "aliases" in str(build(text, "f").problems[0])


def test_depth_is_bounded() -> None:
    assert build("[" * yaml12.DEEPEST + "]" * yaml12.DEEPEST, "f").problems == []
    for depth in (yaml12.DEEPEST + 1, 100_000):
        document = build("[" * depth + "]" * depth, "f")
        assert document.data is None
        assert len(document.problems) == 1


def test_size_is_bounded() -> None:
    assert "more than" in str(build("a" * (yaml12.LARGEST + 1), "f").problems[0])


@given(st.text(max_size=200) | st.text("ab:-[]{}&*!|>'\"%@#,? \n\t0", max_size=80))
def test_no_text_raises(text: str) -> None:
    document = build(text, "f")
    assert document.data is not None or document.problems or text.strip()


_WORDS = st.text(
    st.characters(exclude_categories=["Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"]), max_size=8
)
_DATA = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | _WORDS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text("abc", min_size=1, max_size=4), inner, max_size=4)
    ),
    max_leaves=20,
)


@given(_DATA)
def test_json_is_yaml(data: object) -> None:
    assert build(canonical_text({"data": data}), "f").data == {"data": data}
