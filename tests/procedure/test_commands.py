"""`commission check` and `commission schema` from the outside."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
import typer
from typer.testing import CliRunner

from commission.cli import procedures
from commission.procedure.standalone import check_file

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """\
procedure: x
revision: 1
title: T
purpose: P
stages: [{id: s, title: S, steps: [{kind: confirm, id: a, title: Look}]}]
"""
FRAGMENT = """\
fragment: part
revision: 1
title: T
parameters: {n: {default: 3}}
steps: [{kind: series, id: a, title: Measure, runs: "${n}", columns: [{id: v, label: V, unit: V}]}]
"""


@pytest.fixture
def run() -> CliRunner:
    return CliRunner()


@pytest.fixture
def app() -> typer.Typer:
    made = typer.Typer()
    procedures.register(made)
    return made


@pytest.mark.parametrize(
    ("text", "options", "code", "words"),
    [
        (GOOD, [], 0, ""),
        (GOOD.replace("Look", "Look as needed"), [], 0, "warning: a vague word"),
        (GOOD.replace("Look", "Look as needed"), ["--strict"], 1, "warning: a vague word"),
        (GOOD.replace("title: T", "titel: T"), [], 1, "Did you mean title?"),
        ("", [], 1, "empty"),
    ],
)
def test_the_exit_code_says_whether_a_file_can_be_used(
    app: typer.Typer, run: CliRunner, tmp_path: Path, text: str, options: list[str], code: int,
    words: str,
) -> None:  # fmt: skip
    file = tmp_path / "f.yaml"
    file.write_text(text, encoding="utf-8")
    result = run.invoke(app, ["check", str(file), *options])
    assert result.exit_code == code
    assert words in result.stdout
    assert "1 file" in result.stderr
    assert all(line.startswith(str(file)) for line in result.stdout.splitlines())


def test_problems_as_json_have_every_field(
    app: typer.Typer, run: CliRunner, tmp_path: Path
) -> None:
    result = run.invoke(app, ["check", str(tmp_path / "none.yaml"), str(tmp_path), "--json"])
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert [each["what"] for each in found] == ["no such file", "a folder"]
    assert set(found[0]) == {
        "file", "line", "column", "what", "got", "expected", "hint", "severity",
    }  # fmt: skip


def test_text_from_a_file_takes_no_effect_in_the_terminal(
    app: typer.Typer, run: CliRunner, tmp_path: Path
) -> None:
    file = tmp_path / "f.yaml"
    file.write_text(GOOD.replace("title: T", 'titel: T\n"\\e[31m": 1'), encoding="utf-8")
    result = run.invoke(app, ["check", str(file)])
    assert "?[31m" in result.stdout
    assert "\x1b" not in result.stdout


def test_the_schema_is_json(app: typer.Typer, run: CliRunner) -> None:
    result = run.invoke(app, ["schema"])
    assert result.exit_code == 0
    assert json.loads(result.stdout)["$schema"].startswith("https://json-schema.org/")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("kind", "kind", None),
        ("title: T", "titel: T", "Did you mean title?"),
        ("label: V", "lable: V", "Did you mean label?"),
        ("${n}", "${m}", "no such parameter"),
        ("n: {default: 3}", "n: {default: 3}, o: {default: 1}", "used nowhere"),
        ("fragment: part", "fragmnet: part", "none of our files"),
    ],
)
def test_a_fragment_is_checked_by_itself(
    tmp_path: Path, old: str, new: str, words: str | None
) -> None:
    file = tmp_path / "part.yaml"
    file.write_text(FRAGMENT.replace(old, new, 1), encoding="utf-8")
    told = [str(each) for each in check_file(file)]
    assert bool(told) == (words is not None)
    assert words is None or words in " ".join(told)
