"""`commission report`: the record of a job or an audit as a sheet of paper or as data."""

from __future__ import annotations

from pathlib import Path  # noqa: TC003  typer reads it at run time
from typing import TYPE_CHECKING, Annotated

import typer

from commission.cli.identifiers import recorded_id
from commission.cli.options import StoreOption
from commission.cli.stderr import say
from commission.errors import RefusedError

if TYPE_CHECKING:
    from commission.record.bench import Bench
    from commission.report.document import Document


def register(app: typer.Typer) -> None:
    """Add this module's command to the command line."""
    app.command("report")(report)


def report(
    job: Annotated[
        str,
        typer.Argument(
            metavar="JOB|AUDIT",
            parser=recorded_id,
            help="The id of a job, as `commission jobs` lists it, or of an audit.",
        ),
    ],
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
    """Write a record as a sheet or as data; the same record gives the same bytes."""
    from commission.record.bench import Bench
    from commission.report.render.formats import format_of, paper_of, write

    format_of(output)
    sheet = paper_of(paper)
    with Bench.open(store, create=False) as bench:
        document = _document(bench, job, kind)
    size = write(document, output, force=force, paper=sheet)
    standing = f" {document.standing}." if document.standing else ""
    said = f"{output}: {document.kind} of {job}, {size} bytes; head {document.head}.{standing}"
    say(said)


def _document(bench: Bench, name: str, kind: str | None) -> Document:
    from commission.audit.book import AUDIT_ID
    from commission.report.kinds import document_of, kind_of
    from commission.report.subject import subject_of

    if AUDIT_ID.fullmatch(name):
        from commission.audit.sheet import KIND, sheet

        if kind not in (None, KIND):
            raise RefusedError(f"An audit has no sheet called {kind[:60]!r}.", "Leave out --kind.")
        return sheet(bench, name)
    subject = subject_of(bench, name)
    return document_of(kind_of(kind, subject), subject)
