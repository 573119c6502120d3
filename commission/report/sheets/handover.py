"""The handover sheet: what the owner takes away with the bike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.report.document import Block, Document, Heading, Paragraph, Points
from commission.report.figures import cycles
from commission.report.sheets import (
    as_left,
    instruments,
    items,
    limits,
    proof,
    signatures,
    steps,
)
from commission.report.sheets.about import for_owner, parts_blocks
from commission.report.sheets.standing import NO_PERMISSION, standing
from commission.report.times import ZONE

if TYPE_CHECKING:
    from commission.report.subject import Subject


_NOT_READY: Final = (
    "This bike is not released: nobody rides it before the work is finished and the bike released."
)


def handover(subject: Subject) -> Document:
    """Return the handover sheet of a job; of one that is not released it says so on each page."""
    opened = subject.opened
    blocks: list[Block] = [
        for_owner(subject),
        Paragraph(NO_PERMISSION, loud=True),
        *([Paragraph(_NOT_READY, loud=True)] if standing(subject) else []),
        Paragraph(f"What the job was for: {subject.state.plan.procedure.purpose}"),
        Heading("Limits and cautions"),
        *limits.blocks(subject),
        Heading("If the bike does not do what it should"),
        Points(limits.IF_WRONG, ordered=True),
        Heading("Open items"),
        *items.hindrance_blocks(subject),
        items.open_items(subject),
        Heading("Concessions", 2),
        items.concessions(subject),
        Heading("Not plainly passed", 2),
        items.not_plain(subject),
        *instruments.unsure(subject),
        Heading("Settings as left"),
        Paragraph(_proved(subject)),
        as_left.table(subject),
        *(one for one in (cycles.figure(subject),) if one is not None),
        Heading("What was done"),
        Paragraph(ZONE),
        steps.stages(subject),
        *parts_blocks(subject),
        *instruments.blocks(subject),
        Heading("Signatures"),
        *signatures.blocks(subject),
        *proof.blocks(subject),
    ]
    return Document(
        kind="handover sheet",
        title="Handover sheet",
        about=subject.frame,
        stream=opened.job,
        entries=len(subject.entries),
        head=subject.head,
        until=subject.state.at,
        blocks=tuple(blocks),
        data=as_left.table(subject),
        practice=opened.practice,
        standing=standing(subject),
    )


def _proved(subject: Subject) -> str:
    missing = as_left.unproved(subject)
    if not missing:
        return (
            "Each setting was read after the last power cycle that covered it, as it was written,"
            " or stands as it was found."
        )
    return f"{missing} settings are not proved as they stand; each says why."
