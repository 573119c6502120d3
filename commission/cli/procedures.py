"""`commission check` and `commission schema`: what authors of procedures need."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.exits import Exit
from commission.cli.stderr import say
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.procedure.problems import Problem


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    app.command("check")(check)
    app.command("schema")(schema)


def check(
    files: Annotated[
        list[str],
        typer.Argument(help="Procedures, fragments or controller sheets.", metavar="FILE…"),
    ],
    as_json: Annotated[
        bool, typer.Option("--json", help="Problems as a JSON list on standard output.")
    ] = False,
    strict: Annotated[bool, typer.Option("--strict", help="Warnings count as errors.")] = False,
) -> None:
    """Check procedures: every problem with file, line, column and how to mend it."""
    from commission.procedure.standalone import check_file

    found: list[Problem] = []
    for file in files:
        found.extend(check_file(file))
    if as_json:
        print(json.dumps([each.to_json() for each in found], ensure_ascii=True, indent=2))
    else:
        for each in found:
            print(safe_text(each))
    say(_summary(len(files), found))
    wrong = [each for each in found if strict or each.is_error]
    raise typer.Exit(Exit.NOT_GOOD if wrong else Exit.DONE)


def schema() -> None:
    """Print a JSON Schema of procedures, fragments and controller sheets, for editors."""
    from commission.procedure.schema import schema as made

    print(json.dumps(made(), indent=2, ensure_ascii=False))


def _summary(files: int, found: list[Problem]) -> str:
    errors = sum(each.is_error for each in found)
    warnings = _counted(len(found) - errors, "warning")
    return f"{_counted(files, 'file')}, {_counted(errors, 'error')}, {warnings}."


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
