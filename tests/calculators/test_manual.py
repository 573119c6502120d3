"""Manual pages: made from the declarations, every example computed, no text taking effect."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from commission.calculators import catalogue
from commission.calculators.manual import file_name, index, page
from commission.quantities import parse_reading
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markdown_it.token import Token

    from commission.calculators.base import Calculator

ALL = pytest.mark.parametrize("declared", catalogue.all_calculators(), ids=lambda each: each.name)
RENDERER = MarkdownIt("gfm-like", {"html": True})
if RENDERER.linkify is not None:  # a host's bare name in a source is linked by no common flavour
    RENDERER.linkify.set({"fuzzy_link": False})
ALLOWED = {
    "heading_open", "heading_close", "paragraph_open", "paragraph_close", "inline", "text",
    "table_open", "table_close", "thead_open", "thead_close", "tbody_open", "tbody_close",
    "tr_open", "tr_close", "th_open", "th_close", "td_open", "td_close", "code_block",
    "bullet_list_open", "bullet_list_close", "list_item_open", "list_item_close",
}  # fmt: skip
"""What a page is made of; a tag, a link, an image or an emphasis is none of it."""


def tokens(markdown: str) -> Iterator[Token]:
    for token in RENDERER.parse(markdown):
        yield token
        yield from token.children or ()


def said(markdown: str) -> list[str]:
    """Return the texts that a reader sees, in order: cells, items, paragraphs, blocks."""
    found = []
    for token in RENDERER.parse(markdown):
        if token.type == "inline":
            found.append("".join(each.content for each in token.children or ()))
        elif token.type == "code_block":
            found.append(token.content.rstrip("\n"))
    return found


@ALL
def test_page_says_everything_of_the_declaration(declared: Calculator) -> None:
    texts = said(page(declared))
    for part in (*declared.cautions, *declared.traps, *declared.conventions, declared.source):
        assert part in texts
    assert declared.formula in texts
    assert f"{declared.name}: {declared.title}" in texts
    assert any(text.endswith(f"version {declared.version}.") for text in texts)
    for each in declared.inputs:
        assert {each.name, each.unit} <= {*texts, ""}
    for output in declared.outputs:
        assert output.name in texts
        assert output.unit in {*texts, ""}
    assert all(any(each.help in text for text in texts) for each in declared.inputs)
    assert {token.type for token in tokens(page(declared))} <= ALLOWED


@ALL
def test_cautions_stand_before_the_inputs(declared: Calculator) -> None:
    texts = said(page(declared))
    for caution in declared.cautions:
        assert texts.index(caution) < texts.index("Inputs")


@ALL
def test_worked_example_on_the_page_is_computed_and_comes_out_as_expected(
    declared: Calculator,
) -> None:
    texts = said(page(declared))
    rows = texts[texts.index("Computed") + 2 : texts.index("Source")]
    computed = {rows[at]: rows[at + 1] for at in range(0, len(rows) - 1, 3)}
    expected = {rows[at]: rows[at + 2] for at in range(0, len(rows) - 1, 3) if rows[at + 2]}
    assert expected == dict(declared.example.outputs)
    for name, text in expected.items():
        output = declared.output(name)
        if output.kind in {"text", "truth"}:
            assert computed[name] == text
            continue
        wanted, got = parse_reading(text, output.unit), parse_reading(computed[name], output.unit)
        shown = abs(got.number) * 1e-5 + wanted.resolution * 0.51
        assert abs(got.number - wanted.number) <= shown, name


def hostile(text: str) -> Calculator:
    """Return a calculator that says `text` wherever it says something."""
    declared = catalogue.get("lever-window")
    return replace(
        declared,
        title=text,
        formula=text,
        source=text,
        conventions=(text,),
        traps=(text,),
        cautions=(text,),
        inputs=tuple(replace(each, label=text, help=text) for each in declared.inputs),
        outputs=tuple(replace(each, label=text) for each in declared.outputs),
        example=replace(declared.example, source=text),
    )


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "[click](javascript:alert(1))",
        "![x](http://example.org/x.png)", "a | b | c", "# Heading", "1. one", "- item", "```\ncode",
        "**bold** _soft_ ~~gone~~ `code`", "https://example.org www.example.org a@example.org",
        "[note]: http://example.org", "&lt;b&gt; &#60;", "\x1b[31mred\x1b[0m \x07",
        "a\n\n    b\n---",
        "\u202eright to left", "$x^2$ {.class}", "---", "=== x", "+ plus", "\\`tick\\`", ">quoted",
        "<!-- comment", "]]> <![CDATA[", "2) two", ":::note", "_", "a_b_c __init__",
    ],
)  # fmt: skip
def test_hostile_text_is_shown_as_it_is_and_takes_no_effect(text: str) -> None:
    made = page(hostile(text))
    shown = " ".join(safe_text(text).split())
    assert {token.type for token in tokens(made)} <= ALLOWED
    assert said(made).count(shown) >= 4
    assert made.isprintable() or set(made) - {"\n"} == {c for c in made if c.isprintable()}


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet=st.sampled_from("ab1 _*`[](){}<>|~&$@^:/.#+=-!\\w\n'\"x"), max_size=40))
def test_any_text_is_shown_as_it_is(text: str) -> None:
    shown = " ".join(safe_text(text).split())
    made = page(hostile(text))
    assert {token.type for token in tokens(made)} <= ALLOWED
    if shown:
        assert said(made).count(shown) >= 4


def test_index_links_to_every_page_by_topic() -> None:
    made = index(catalogue.all_calculators())
    links = [token.attrGet("href") for token in tokens(made) if token.type == "link_open"]
    assert links == [file_name(each) for each in catalogue.all_calculators()]
    headings = {each.topic.capitalize() for each in catalogue.all_calculators()}
    assert headings <= set(said(made))


def test_a_file_name_never_leaves_its_folder() -> None:
    assert file_name(replace(catalogue.get("range"), name="../../x")) == "------x.md"
