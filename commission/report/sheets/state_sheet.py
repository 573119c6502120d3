"""The state sheet of an open job: paper carries on where the screen left off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.route import route
from commission.job.state import Status
from commission.report.document import (
    Blanks,
    Block,
    Column,
    Document,
    Heading,
    Paragraph,
    Points,
    Table,
    Warn,
)
from commission.report.sheets import as_left, items, paper, proof, steps
from commission.report.sheets.about import about
from commission.report.sheets.standing import NO_PERMISSION, standing

if TYPE_CHECKING:
    from commission.job.route import RouteLine
    from commission.report.subject import Subject

_RULES: Final = (
    "Write each value as the instrument shows it, with its unit, in ink; initial it with the time.",
    (
        "Read the cautions of a step before it. A failed step is done again or stops the job;"
        " no step is passed over."
    ),
    (
        "Where work on the screen goes on, enter what was written here as late entries,"
        " and keep the sheet."
    ),
)


def state_sheet(subject: Subject) -> Document:
    """Return what is done in a job, and the steps left with blanks to write in."""
    opened = subject.opened
    blocks: list[Block] = [
        about(subject),
        Paragraph(NO_PERMISSION, loud=True),
        *items.hindrance_blocks(subject),
        Heading("How to carry on by hand"),
        Points(_RULES, ordered=True),
        Heading("Open items"),
        items.open_items(subject),
        Heading("Not plainly passed", 2),
        items.not_plain(subject),
        Heading("Steps left"),
        *_left(subject),
        Heading("Settings so far"),
        as_left.table(subject),
        Heading("Done"),
        _done(subject),
        Blanks(("Carried on by", "From (date and time)", "Until", "Entered later by")),
        *proof.blocks(subject),
    ]
    return Document(
        kind="state sheet",
        title="State sheet",
        about=subject.frame,
        stream=opened.job,
        entries=len(subject.entries),
        head=subject.head,
        until=subject.state.at,
        blocks=tuple(blocks),
        data=_route(subject),
        practice=opened.practice,
        standing=standing(subject),
    )


def _left(subject: Subject) -> list[Block]:
    made: list[Block] = []
    stage = ""
    for line in route(subject.state):
        if line.status.settled:
            continue
        if line.stage != stage:
            stage = line.stage
            made.append(Heading(stage, 2))
        made += _step(subject, line)
    return made or [Paragraph("No step is left.")]


def _step(subject: Subject, line: RouteLine) -> list[Block]:
    planned = subject.state.plan.planned(line.step)
    step = planned.step
    status = "" if line.status is Status.TODO else f" ({line.word}: {line.reason or 'see above'})"
    made: list[Block] = [Heading(f"{line.number}  {step.title}{status}", 3)]
    made += [Warn(one.signal, one.hazard, one.consequence, one.avoidance) for one in step.cautions]
    if step.when is not None:
        made.append(Paragraph(f"Only where {step.when}; else write: not applicable, and why."))
    if step.how:
        made.append(Paragraph(step.how))
    return [*made, *paper.tables(subject, planned)]


def _done(subject: Subject) -> Table:
    lines = [line for line in route(subject.state) if line.status.settled
             and line.status is not Status.DORMANT]  # fmt: skip
    whole = steps.everything(subject)
    rows = tuple(steps.row(subject, line) for line in lines)
    return Table("done", whole.columns, rows, "Nothing is done yet.")


def _route(subject: Subject) -> Table:
    columns = (Column("number", "step"), Column("title", "what"), Column("stage", "stage"),
               Column("state", "state"), Column("why", "why"))  # fmt: skip
    rows = tuple(
        (line.number, line.title, line.stage, line.word, line.reason)
        for line in route(subject.state)
    )
    return Table("route", columns, rows)
