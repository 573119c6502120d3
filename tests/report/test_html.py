"""The HTML: strict, self-contained, without script; hostile text has no effect anywhere."""

from __future__ import annotations

import csv
import io
import itertools
import json
import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.job.importing import read_settings
from commission.report.document import Column, Document, Paragraph, Table
from commission.report.kinds import HANDOVER, KINDS, RESTORE, document_of
from commission.report.render.data_json import to_json
from commission.report.render.html import to_html
from commission.report.render.pdf import to_pdf
from commission.report.render.table_csv import cell, to_csv
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.report.subject import Subject

VOID: Final = {"meta", "wbr", "col"}
KNOWN: Final = {
    "html", "head", "meta", "title", "style", "body", "h1", "h2", "h3", "h4", "p", "ul", "ol", "li",
    "dl", "dt", "dd", "table", "colgroup", "col", "thead", "tbody", "tr", "th", "td", "figure",
    "figcaption", "svg", "polyline", "polygon", "circle", "rect", "path", "text", "div", "b", "i",
    "span", "code", "wbr",
}  # fmt: skip
ATTRIBUTES: Final = {
    "lang", "charset", "http-equiv", "content", "name", "class", "style", "scope", "role",
    "aria-label", "viewbox", "width", "height", "points", "fill", "stroke", "stroke-width",
    "stroke-dasharray", "cx", "cy", "r", "x", "y", "d", "font-size", "font-weight", "text-anchor",
    "shape-rendering",
}  # fmt: skip
HOSTILE: Final = (
    "</style><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "\x1b[31m\x1b]0;owned\x07",
    "abc\u202egnp.exe",
    "=cmd|'/C calc'!A0",
    "</td></tr></table><h1>Released",
    "\\'; } @import url(//evil); {",
    "<para><b>not bold</b>&nbsp;",
)


class Strict(HTMLParser):
    """Fails on a tag or attribute not known here, and on one not closed in its place."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert tag in KNOWN, tag
        for name, value in attrs:
            assert name in ATTRIBUTES, name
            assert not name.startswith("on")
            assert "://" not in (value or "")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, tag

    def handle_data(self, data: str) -> None:
        if self.open[-1:] != ["style"]:
            self.text.append(data)
        else:
            assert "url(" not in data
            assert "@import" not in data
            assert "<" not in data


def read(html: bytes) -> str:
    parser = Strict()
    parser.feed(html.decode("utf-8"))
    parser.close()
    assert parser.open == []
    return "".join(parser.text)


def document_with(words: str) -> Document:
    data = Table("data", (Column("a", "a"), Column("b", "b")), ((words, "1"),))
    return Document(
        "trial", "Trial", words, words, 1, "ab" * 32, "2031-05-06T08:00:00.000000Z",  # type: ignore[arg-type]
        (Paragraph(words), data), data, practice=True, standing=words,
    )  # fmt: skip


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_every_sheet_is_strict_html_that_loads_and_runs_nothing(
    kind: Any, released: Subject
) -> None:
    html = to_html(document_of(kind, released))
    text = read(html)

    assert b"<script" not in html
    assert b"src=" not in html
    assert b"href=" not in html
    assert released.head[:32] in text
    assert "PRACTICE: not a real bike" in text
    assert f"End of the {kind.name}" in text


def test_pages_are_numbered_and_marked_by_the_page_margins(released: Subject) -> None:
    style = to_html(document_of(HANDOVER, released)).decode()

    assert 'content: "page " counter(page) " of " counter(pages)' in style
    assert '@top-left { content: "PRACTICE' in style


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_text_is_shown_and_has_no_effect(words: str) -> None:
    document = document_with(words)

    text = read(to_html(document))
    assert text.count(safe_text(words)) == 6  # title, banner, about, paragraph, cell, end
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert json.loads(to_json(document))["about"] == words
    assert to_pdf(document, "a4").startswith(b"%PDF-")


def test_a_hostile_frame_number_goes_through_every_sheet_and_format(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("bike_on_stand")
    bike = {"frame": HOSTILE[0] + HOSTILE[2], "model": HOSTILE[3] + HOSTILE[4]}
    subject = subject_of_lines(lines_of(job.entries, bike))

    for kind in KINDS:
        document = document_of(kind, subject)
        text = read(to_html(document))
        assert HOSTILE[0] in text
        assert to_pdf(document, "letter").startswith(b"%PDF-")
        for line in to_csv(document).decode().splitlines():
            assert not line.startswith(("=", "+", "-", "@"))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("=1+1", "'=1+1"), ("+1+1", "'+1+1"), ("-1+1", "'-1+1"), ("@SUM(A1)", "'@SUM(A1)"),
        (" =1+1", "' =1+1"), ("\t=1", "' =1"), ("'=1", "''=1"), ("＝1", "'＝1"), ("%0", "'%0"),
        ("-12.5", "-12.5"), ("+3", "+3"), ("1e-3", "1e-3"), ("-", "-"), ("reversed", "reversed"),
        ("-5 km/h", "'-5 km/h"),
    ],
)  # fmt: skip
def test_a_cell_is_never_a_formula_and_a_number_stays_one(typed: str, kept: str) -> None:
    # OWASP, CSV Injection: cells that begin with = + - @ tab or carriage return.
    assert cell(typed) == kept


def test_csv_is_one_table_after_remarks_and_the_restore_list_imports_again(
    released: Subject,
) -> None:
    from commission.job.ask import Ask

    text = to_csv(document_of(RESTORE, released)).decode("utf-8")
    remarks = [line for line in text.splitlines() if line.startswith("#")]
    rows = list(csv.reader(io.StringIO(text, newline="")))[len(remarks) :]

    assert "PRACTICE" in remarks[0]
    assert released.head in remarks[2]
    assert rows[0] == ["name", "value", "unit"]
    asks = [
        Ask(name, setting.label, "quantity", setting.unit or "")
        for name, setting in released.state.plan.settings.items()
    ]
    found = read_settings(text, asks)
    assert found.faults == ()
    assert found.missing == ()
    assert found.given["speed_limit"] == "55 km/h"


def test_json_has_tables_as_objects_and_the_numbers_behind_figures(released: Subject) -> None:
    data = json.loads(to_json(document_of(HANDOVER, released)))

    assert data["format"] == "commission report 2"
    assert data["practice"] is True
    assert data["head"] == released.head
    assert data["record"] == released.opened.job
    left = {row["label"]: row["left"] for row in data["data"]["rows"]}
    assert left["speed limit"] == "55 km/h"
    figures = [block for block in data["blocks"] if "figure" in block]
    assert figures
    assert all(figure["points"]["rows"] for figure in figures)


def test_headings_go_down_one_level_at_a_time_and_tables_name_their_columns(half: Subject) -> None:
    for kind in KINDS:
        html = to_html(document_of(kind, half)).decode()
        levels = [int(found) for found in re.findall(r"<h([1-6])>", html)]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after <= before + 1 for before, after in itertools.pairwise(levels))
        assert html.count("<th ") == html.count('<th scope="col">')
        assert html.count("<svg ") == html.count('<svg role="img" aria-label="')


def test_a_long_name_is_cut_in_the_margin_of_a_page_not_by_its_edge(
    walk: Callable[[], Any], lines_of: Any, subject_of_lines: Any
) -> None:
    job = walk().until("bike_on_stand")
    bike = {"frame": "F" * 120, "model": "M"}
    html = to_html(document_of(HANDOVER, subject_of_lines(lines_of(job.entries, bike)))).decode()

    said = re.search(r'@top-right { content: "([^"]*)"', html)
    assert said is not None
    assert "F" * 30 in said[1]
    assert "F" * 60 not in said[1]
    assert "F" * 120 in html.partition("<body>")[2]
