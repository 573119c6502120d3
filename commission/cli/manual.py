"""`commission manual`: the calculators' manual pages, made anew from their declarations."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.exits import Exit
from commission.cli.stderr import say

if TYPE_CHECKING:
    from collections.abc import Mapping

NamesArgument = Annotated[
    list[str] | None,
    typer.Argument(metavar="[NAME]...", help="Calculators; without one, all of them."),
]
FolderOption = Annotated[
    Path | None,
    typer.Option("-o", "--output", metavar="DIR", help="Write one Markdown file per page here."),
]


def register(app: typer.Typer) -> None:
    """Add the command `manual`."""
    app.command("manual")(manual)


def manual(names: NamesArgument = None, folder: FolderOption = None) -> None:
    """Print the manual as Markdown, or write it as files; worked examples are computed anew."""
    from commission.errors import CommissionError

    try:
        pages = _pages(names or [])
        if folder is None:
            print("\n".join(pages.values()), end="")
        else:
            _write(folder, pages)
            say(f"{len(pages)} pages in {folder}")
    except CommissionError as error:
        say(error.diagnostics())
        raise typer.Exit(Exit.COULD_NOT) from error


def _pages(names: list[str]) -> Mapping[str, str]:
    """Return the pages by file name; the index first where it is the whole manual."""
    from commission.calculators import catalogue
    from commission.calculators.manual import file_name, index, page

    wanted = [catalogue.get(name) for name in names] or catalogue.all_calculators()
    pages = {} if names else {"index.md": index(wanted)}
    return pages | {file_name(each): page(each) for each in wanted}


def _write(folder: Path, pages: Mapping[str, str]) -> None:
    """Write the pages, over older ones of the same name.

    Raises:
        CommissionError: the folder or a file cannot be written.
    """
    from commission.errors import CommissionError

    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in pages.items():
            (folder / name).write_text(text, encoding="utf-8")
    except OSError as error:
        raise CommissionError(
            f"The manual cannot be written to {folder}: {error.strerror}.",
            "Name a folder that can be written to.",
        ) from error
