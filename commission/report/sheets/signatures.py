"""Who signed what, when and with which meaning; where nobody signed, it says unsigned."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.signature import signature_of
from commission.job.signed import meaning_of
from commission.report.document import Block, Column, Paragraph, Table
from commission.report.times import in_table

if TYPE_CHECKING:
    from commission.job.entry import Entry
    from commission.report.subject import Subject

UNSIGNED: Final = "unsigned"
_COLUMNS: Final = (
    Column("entry", "entry", 0.7),
    Column("at", "time (UTC)", 1.75),
    Column("by", "by", 1.4),
    Column("meaning", "meaning", 1.6),
    Column("about", "about", 2.2),
    Column("signature", "signature", 1.8),
)


def blocks(subject: Subject) -> list[Block]:
    """Return the table of signatures and a sentence on what it rests on."""
    table = signatures(subject)
    unsigned = sum(row[-1] == UNSIGNED for row in table.rows)
    said: list[Block] = []
    if unsigned == len(table.rows) and not subject.state.ids:
        said.append(Paragraph(
            "Bench unsigned: nobody was registered on it when this job was opened, so the names"
            " are as typed and no key stands behind them."
        ))  # fmt: skip
    elif unsigned:
        said.append(Paragraph(f"{unsigned} of them are unsigned: no key stands behind the name."))
    elif table.rows:
        held = "against the register of this bench" if subject.checked else (
            "by the keys they name; whose those are, the register says"
        )  # fmt: skip
        said.append(Paragraph(f"The signatures hold {held}."))
    return [*said, table]


def signatures(subject: Subject) -> Table:
    """Return each entry that a person answers for with the name: sign-offs, holds, leave given."""
    rows = tuple(
        _row(subject, entry, meaning)
        for entry in subject.entries
        if (meaning := meaning_of(subject.state, entry))
    )
    return Table("signatures", _COLUMNS, rows, "Nothing is signed off yet.")


def _row(subject: Subject, entry: Entry, meaning: str) -> tuple[str, ...]:
    plan = subject.state.plan
    signature = signature_of(entry)
    mode = str(entry.body.get("mode", ""))
    step = entry.step or ""
    about = plan.planned(step).step.title if step in plan.index else "the job"
    role = str(entry.body.get("role") or entry.body.get("judged", {}).get("role", ""))
    return (
        str(entry.seq),
        in_table(entry.at),
        f"{entry.by} ({role})" if role else entry.by,
        f"{meaning}, {mode}" if mode else meaning,
        about,
        UNSIGNED if signature is None else f"{signature.signer}, key {signature.key[:16]}…",
    )
