"""`commission manual`: printed or written, refused in one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer
from typer.testing import CliRunner, Result

from commission.calculators import catalogue
from commission.cli import manual

if TYPE_CHECKING:
    from pathlib import Path


def run(*arguments: str) -> Result:
    app = typer.Typer()
    manual.register(app)
    app.command("other")(lambda: None)
    return CliRunner().invoke(app, ["manual", *arguments])


def test_one_page_is_printed() -> None:
    got = run("rollout")
    assert got.exit_code == 0
    assert got.stdout.startswith("# rollout: ")
    assert "## Worked example" in got.stdout


def test_the_whole_manual_is_printed_with_its_index_first() -> None:
    got = run()
    assert got.stdout.startswith("# Calculators")
    assert got.stdout.count("\n## Worked example\n") == len(catalogue.names())


def test_a_folder_gets_a_file_for_each_page_and_an_index(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "manual"
    assert run("-o", str(folder)).exit_code == 0
    wanted = {"index.md", *(f"{name}.md" for name in catalogue.names())}
    assert {each.name for each in folder.iterdir()} == wanted
    assert run("-o", str(folder)).exit_code == 0


def test_named_pages_are_written_alone(tmp_path: Path) -> None:
    run("rollout", "bonding", "--output", str(tmp_path))
    assert {each.name for each in tmp_path.iterdir()} == {"rollout.md", "bonding.md"}


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    got = run("rolout")
    assert got.exit_code == 2
    assert "Did you mean rollout" in got.stderr


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("kept")
    got = run("rollout", "-o", str(taken))
    assert got.exit_code == 2
    assert "cannot be written" in got.stderr
    assert taken.read_text() == "kept"
