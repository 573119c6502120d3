"""The state sheet of an open job: paper carries on where the screen left off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError
from commission.job.ask import Ask
from commission.job.entry import Clock, Instant
from commission.job.kinds import HANDLERS
from commission.job.kinds.handler import Look
from commission.job.route import route
from commission.job.state import Status
from commission.job.values import values
from commission.procedure.expression import ExpressionError, UnknownValueError
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
from commission.report.sheets import as_left, items, proof, steps
from commission.report.sheets.about import about
from commission.report.sheets.standing import NO_PERMISSION, standing

if TYPE_CHECKING:
    from commission.job.plan import PlannedStep
    from commission.job.route import RouteLine
    from commission.report.subject import Subject

_LEFT: Final = (
    Column("what", "read or see", 2.2),
    Column("good", "good", 1.7),
    Column("given", "written by hand", 1.5),
    Column("initials", "initials, time", 1.0),
)
_SOME: Final = 8
"""Values of one step that get a line each; a table of settings gets lines for all it reads."""
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
    made: list[Block] = [
        Warn(one.signal, one.hazard, one.consequence, one.avoidance) for one in step.cautions
    ]  # fmt: skip
    status = "" if line.status is Status.TODO else f" ({line.word}: {line.reason or 'see above'})"
    made.append(Paragraph(f"{line.number}  {step.title}{status}", loud=bool(status)))
    if step.when is not None:
        made.append(Paragraph(f"Only where {step.when}; else write: not applicable, and why."))
    if step.how:
        made.append(Paragraph(step.how))
    rows = tuple((_label(ask), ask.criterion, "", "") for ask in _asks(subject, planned))
    hold = getattr(step, "hold", None)
    if hold:
        rows = (*rows, (f"HOLD: confirmed by another person, a {hold}", "", "", ""))
    made.append(Table(f"left_{line.step}", _LEFT, rows or (("done", "", "", ""),), blank=True))
    return made


def _asks(subject: Subject, planned: PlannedStep) -> list[Ask]:
    """Return what a step will ask, as far as that is known now."""
    state = subject.state
    now = Instant(state.at, state.clock or Clock("", 0))
    look = Look(state, planned.step, {}, values(state), now)
    handler = HANDLERS[planned.kind]
    try:
        asks = list(handler.asks(look, handler.part(look)))
    except (CommissionError, UnknownValueError, ExpressionError):
        return [Ask("value", planned.step.title, "text")]
    runs = getattr(planned.step, "runs", 0)
    points = len(getattr(planned.step, "points", ())) or getattr(planned.step, "at_least", 0)
    if runs or points:
        word = "run" if runs else "point"
        return [
            Ask(ask.name, f"{word} {at}: {ask.label}", ask.type, ask.unit, criterion=ask.criterion
                if at == 1 else "")
            for at in range(1, (runs or points) + 1)
            for ask in asks
        ]  # fmt: skip
    return asks


def _label(ask: Ask) -> str:
    choices = f" ({' / '.join(ask.choices)})" if ask.choices else ""
    unit = f" [{ask.unit}]" if ask.unit else ""
    return f"{ask.label}{unit}{choices}"


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
