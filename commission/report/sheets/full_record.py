"""The full technical record: every step, every setting, every entry, with the figures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.ledger import ledger
from commission.procedure import model
from commission.report.document import Block, Column, Document, Figure, Heading, Paragraph, Table
from commission.report.figures import angles, cycles, sweep, timeline
from commission.report.sheets import as_left, instruments, items, proof, signatures, steps
from commission.report.sheets.about import about, parts_blocks
from commission.report.sheets.entry_words import said
from commission.report.sheets.standing import NO_PERMISSION, standing
from commission.report.times import ZONE, counted, in_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.report.subject import Subject

_LEDGER: Final = (
    Column("label", "setting", 1.7),
    Column("found", "as found", 0.9),
    Column("intended", "intended", 0.95),
    Column("from", "computed from", 1.9),
    Column("written", "as written", 0.95),
    Column("left", "as left, cycle by cycle", 1.5),
    Column("fate", "how it fared", 1.1),
)
_ENTRIES: Final = (
    Column("seq", "entry", 0.65),
    Column("at", "time (UTC)", 1.6),
    Column("by", "by", 1.0),
    Column("kind", "kind", 1.0),
    Column("said", "what it says", 4.0),
)


def full_record(subject: Subject) -> Document:
    """Return the whole record of a job as a document."""
    opened, state = subject.opened, subject.state
    stages = dict.fromkeys(planned.stage_title for planned in state.plan.steps)
    blocks: list[Block] = [
        about(subject),
        Paragraph(NO_PERMISSION, loud=True),
        Paragraph(f"{ZONE} Clocks disagreed {counted(state.jumps, 'time')}."),
        *parts_blocks(subject),
        Heading("Instruments and tools"),
        _equipment(subject),
        Heading("Instruments read with", 2),
        instruments.table(subject),
        Heading("Open items"),
        *items.hindrance_blocks(subject),
        items.open_items(subject),
        Heading("Concessions", 2),
        items.concessions(subject),
        Heading("Time line"),
        *(one for one in (timeline.figure(subject),) if one is not None),
    ]
    for stage in stages:
        blocks += [Heading(stage), steps.of_stage(subject, stage), *_figures(subject, stage)]
    blocks += [
        Heading("Settings ledger"),
        _ledger(subject),
        *(one for one in (cycles.figure(subject),) if one is not None),
        Heading("Signatures"),
        *signatures.blocks(subject),
        Heading("Every entry"),
        entries(subject),
        *proof.blocks(subject),
    ]
    return Document(
        kind="full technical record",
        title="Full technical record",
        about=subject.frame,
        stream=opened.job,
        entries=len(subject.entries),
        head=subject.head,
        until=state.at,
        blocks=tuple(blocks),
        data=entries(subject),
        practice=opened.practice,
        standing=standing(subject),
    )


def entries(subject: Subject) -> Table:
    """Return every entry in words."""
    plan = subject.state.plan
    rows = tuple(
        (str(entry.seq), in_table(entry.at), entry.by, entry.kind.replace("_", " "),
         said(entry, plan))
        for entry in subject.entries
    )  # fmt: skip
    return Table("entries", _ENTRIES, rows)


def _figures(subject: Subject, stage: str) -> Iterator[Figure]:
    for planned in subject.state.plan.steps:
        if planned.stage_title != stage:
            continue
        step = planned.step
        found = None
        if isinstance(step, model.Series):
            found = angles.figure(subject.state, step)
        elif isinstance(step, model.Sweep):
            found = sweep.figure(subject.state, step)
        if found is not None:
            yield found


def _ledger(subject: Subject) -> Table:
    rows, loud = [], set()
    changed = cycles.changed(subject)
    for place, line in enumerate(ledger(subject.state)):
        if line.fate not in as_left.PROVED or line.due:
            loud.add(place)
        before = f"earlier {', '.join(line.earlier)}; then " if line.earlier else ""
        left = before + " · ".join(line.left)
        rows.append((
            line.label, line.found or "-", line.intended or "-", line.computed_from or "-",
            line.written or "-", left or "-", as_left.fate_words(line, changed),
        ))  # fmt: skip
    return Table("ledger", _LEDGER, tuple(rows), "No settings.", frozenset(loud))


def _equipment(subject: Subject) -> Table:
    rows = tuple(
        (one.label, one.kind, _accuracy(one)) for one in subject.state.plan.procedure.equipment
    )
    columns = (Column("label", "what", 2), Column("kind", "kind", 1.4),
               Column("accuracy", "accuracy asked for", 1.4))  # fmt: skip
    return Table("equipment", columns, rows)


def _accuracy(one: model.Equipment) -> str:
    words = []
    if one.percent is not None:
        words.append(f"±{one.percent:g} % of reading")
    if one.counts is not None:
        words.append(f"±{one.counts:g} counts")
    if one.resolution is not None:
        words.append(f"resolution {str(one.resolution).replace('[', ' ').rstrip(']')}")
    return ", ".join(words) or "-"
