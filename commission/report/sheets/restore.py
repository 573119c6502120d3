"""The settings restore sheet: what to set again after other firmware or another controller."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.report.document import Blanks, Block, Column, Document, Heading, Paragraph, Points
from commission.report.document import Table as Rows
from commission.report.figures import cycles
from commission.report.sheets import as_left, proof
from commission.report.sheets.about import about, parts_blocks
from commission.report.sheets.standing import NO_PERMISSION, standing
from commission.report.times import moment

if TYPE_CHECKING:
    from commission.report.subject import Subject

_STEPS: Final = (
    "Compare frame, controller and software with the parts named above; another one is no match.",
    "Make the bike safe first: on a stand, driven wheel clear, by the checklist for that.",
    "Write down every setting as found, and keep the file, before one is changed.",
    "Set one group after the other; read each value back in the same session and write it down.",
    "Switch off and on by the key, then cold until the bus is discharged; read everything again.",
    "Try direction, brake, stand and tilt with the wheel off the ground before anybody rides.",
    "What cannot be set as it stands here is a question for a lead, not for a guess.",
)
_COLUMNS: Final = (
    Column("label", "setting", 1.9),
    Column("found", "as found now", 0.85),
    Column("value", "set to", 1.1),
    Column("read", "read back", 0.85),
    Column("key", "after key cycle", 0.85),
    Column("cold", "after cold cycle", 0.85),
    Column("fate", "how it fared then", 1.8),
)


def restore(subject: Subject) -> Document:
    """Return the restore sheet of a job: its settings by group, with blanks to write in."""
    opened = subject.opened
    blocks: list[Block] = [
        about(subject),
        Paragraph(
            f"Settings as left at {moment(subject.state.at)}, to be set again after a firmware"
            " update or in a controller of the same family. A newer job on this bike supersedes"
            " this sheet."
        ),
        Paragraph(NO_PERMISSION, loud=True),
        *parts_blocks(subject),
        Heading("How to restore"),
        Points(_STEPS, ordered=True),
        Heading("Settings"),
    ]
    for group, rows in _groups(subject).items():
        blocks += [Heading(group, 2), rows]
    blocks += [
        Blanks(("Restored by", "Date and time", "Firmware before", "Firmware after")),
        *proof.blocks(subject),
    ]
    return Document(
        kind="settings restore sheet",
        title="Settings restore sheet",
        about=subject.frame,
        stream=opened.job,
        entries=len(subject.entries),
        head=subject.head,
        until=subject.state.at,
        blocks=tuple(blocks),
        data=as_left.data(subject),
        practice=opened.practice,
        standing=standing(subject),
    )


def _groups(subject: Subject) -> dict[str, Rows]:
    declared = subject.state.plan.settings
    rows: dict[str, list[tuple[str, ...]]] = {}
    loud: dict[str, set[int]] = {}
    changed = cycles.changed(subject)
    for line, last in as_left.lines(subject):
        group = declared[line.setting].group or "other settings"
        kept = rows.setdefault(group, [])
        if line.fate not in as_left.PROVED or line.due:
            loud.setdefault(group, set()).add(len(kept))
        fate = as_left.fate_words(line, changed)
        kept.append((line.label, "", last.shown, "", "", "", fate))
    return {
        group: Rows(f"restore_{at}", _COLUMNS, tuple(found),
                    loud=frozenset(loud.get(group, ())), blank=True)
        for at, (group, found) in enumerate(rows.items(), 1)
    }  # fmt: skip
