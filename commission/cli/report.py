"""`commission report`: a job's record as a sheet of paper or as data."""

from __future__ import annotations

import sys
from pathlib import Path  # noqa: TC003  typer reads it at run time
from typing import Annotated

import typer

from commission.cli.records import StoreOption  # noqa: TC001  typer reads it at run time
from commission.safe_text import safe_text


def register(app: typer.Typer) -> None:
    """Add this module's command to the command line."""
    app.command("report")(report)


def report(
    job: Annotated[str, typer.Argument(help="The job's id, as `commission jobs` lists it.")],
    output: Annotated[
        Path,
        typer.Option("--output", "-o", help="The file to write: .html, .pdf, .csv or .json."),
    ],
    kind: Annotated[
        str | None,
        typer.Option(
            "--kind",
            help="handover sheet, full record, restore sheet, state sheet; without it, the"
            " handover sheet of an ended job and the state sheet of an open one.",
            show_default=False,
        ),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", help="a4 or letter; for PDF.")] = "a4",
    store: StoreOption = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Write a job's record as a sheet or as data; the same record gives the same bytes."""
    from commission.record.bench import Bench
    from commission.report.kinds import document_of, kind_of
    from commission.report.render.formats import format_of, paper_of, write
    from commission.report.subject import subject_of

    format_of(output)
    sheet = paper_of(paper)
    with Bench.open(store, create=False) as bench:
        subject = subject_of(bench, job)
    chosen = kind_of(kind, subject)
    document = document_of(chosen, subject)
    size = write(document, output, force=force, paper=sheet)
    standing = f" {document.standing}." if document.standing else ""
    said = f"{output}: {chosen.name} of {job}, {size} bytes; head {subject.head}.{standing}"
    print(safe_text(said), file=sys.stderr)
