"""`commission prove`: which faults a procedure catches, at which step, and which escape."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path  # noqa: TC003  typer reads it at run time
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.exits import Exit
from commission.cli.stderr import say
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from commission.practice.matrix import Matrix

_BAR = 30


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command("prove")(prove)


def prove(  # noqa: PLR0913, PLR0917  typer makes one option of each
    procedure: Annotated[
        str, typer.Argument(help="A shipped procedure's name, or a file.", metavar="PROCEDURE")
    ],
    faults: Annotated[
        str | None,
        typer.Option(
            "--faults",
            metavar="NAME,…|FILE",
            help="Faults, groups, severities or a file of faults; all where none is named.",
        ),
    ] = None,
    seeds: Annotated[
        int, typer.Option("--seeds", min=1, max=100, help="Bikes on which each fault is tried.")
    ] = 3,
    sound: Annotated[
        int, typer.Option("--sound", min=0, max=5000, help="Sound bikes, for false alarms.")
    ] = 200,
    pilots: Annotated[
        str | None,
        typer.Option("--pilots", metavar="NAME,…", help="honest, confirms, copies, hurries."),
    ] = None,
    jobs: Annotated[
        int, typer.Option("--jobs", min=0, max=256, help="Processes; 0 takes every core.")
    ] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="The result as JSON.")] = False,
    screen: Annotated[
        bool, typer.Option("--screen", help="The result as a table to walk.")
    ] = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="FILE",
            show_default=False,
            help="Write it as a page, too: .html, .pdf, .csv or .json.",
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Try a procedure on virtual bikes with one fault after another.

    Exit 0: every fault that a bench can find is caught in time and no sound bike is stopped;
    1: not so; 2: it could not be tried.
    """  # fmt: skip
    if output is not None:
        from commission.report.render.formats import check_place

        check_place(output, force=force)  # refused before the work, not after it
    try:
        matrix = _proved(procedure, faults, seeds, sound, pilots, jobs)
    except KeyboardInterrupt:
        print("\nInterrupted; no result.", file=sys.stderr)
        raise typer.Exit(Exit.INTERRUPTED) from None
    if output is not None:
        _write(matrix, output, force=force)
    if as_json:
        print(json.dumps(matrix.to_json(), ensure_ascii=False, indent=1))
    elif screen and sys.stdout.isatty() and sys.stdin.isatty():
        from commission.tui.trials.opening import run as run_screen

        run_screen(matrix)
    else:
        from commission.practice.told import lines

        width = shutil.get_terminal_size().columns
        for line in lines(matrix, max(60, min(width, 120))):
            print(safe_text(line))
    raise typer.Exit(Exit.NOT_GOOD if matrix.shortfalls else Exit.DONE)


def _write(matrix: Matrix, output: Path, *, force: bool) -> None:
    from commission.practice.trials_sheet import sheet
    from commission.report.render.formats import write

    document = sheet(matrix)
    size = write(document, output, force=force)
    said = f"{output}: {document.kind} of {document.stream}, {size} bytes."
    say(said)


def _proved(
    procedure: str, faults: str | None, seeds: int, sound: int, pilots: str | None, jobs: int
) -> Matrix:  # fmt: skip
    from commission.cli.practice import loaded_procedure
    from commission.practice import proving
    from commission.practice.trial import cores

    loaded = loaded_procedure(procedure)
    try:
        some = proving.chosen(faults)
    except proving.FaultFileError as error:
        for each in error.problems:
            say(each)
        raise
    who = proving.pilots_named(pilots)
    try:
        return proving.prove(
            loaded, some, seeds=seeds, sound=sound, pilots=who, jobs=jobs or cores(),
            told=_progress(),
        )  # fmt: skip
    finally:
        if sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _progress() -> Callable[[int, int], None]:
    """Return what draws a bar on a terminal, and nothing elsewhere."""
    if not sys.stderr.isatty():
        return lambda _done, _total: None

    def told(done: int, total: int) -> None:
        full = _BAR * done // total
        bar = "#" * full + "." * (_BAR - full)
        print(f"\r{bar} {done} of {total} trials", end="", file=sys.stderr, flush=True)

    return told
