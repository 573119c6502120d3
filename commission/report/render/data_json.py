"""A document as JSON, for programs: the same blocks, tables as lists of objects.

`format` is `commission report 2`; `record` is the id of the job or the audit (version 1 called it
`job` for both). Keys are in a fixed order and nothing depends on the machine.
Texts are as recorded; JSON escapes them.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

from commission.report.document import (
    Blanks,
    Block,
    Facts,
    Figure,
    Heading,
    Paragraph,
    Points,
    Proof,
    Table,
)

if TYPE_CHECKING:
    from commission.report.document import Document

FORMAT: Final = "commission report 2"


def to_json(document: Document) -> bytes:
    """Return the document as UTF-8 JSON with one newline at its end."""
    data = {
        "format": FORMAT,
        "kind": document.kind,
        "about": document.about,
        "practice": document.practice,
        "standing": document.standing or document.ended,
        "record": document.stream,
        "entries": document.entries,
        "head": document.head,
        "until": document.until,
        "data": _table(document.data),
        "blocks": [_block(block) for block in document.blocks],
    }
    return (json.dumps(data, ensure_ascii=True, indent=1) + "\n").encode("utf-8")


def _block(block: Block) -> dict[str, Any]:  # noqa: PLR0911  one for each kind of block
    match block:
        case Heading():
            return {"heading": block.text, "level": block.level}
        case Paragraph():
            return {"paragraph": block.text}
        case Points():
            return {"points": list(block.items)}
        case Facts():
            return {"facts": [{"label": label, "value": value} for label, value in block.rows]}
        case Table():
            return {"table": _table(block)}
        case Figure():
            points = None if block.points is None else _table(block.points)
            return {"figure": block.title, "says": block.says, "points": points}
        case Blanks():
            return {"blanks": list(block.labels)}
        case Proof():
            return {"proof": {"record": block.stream, "entries": block.entries, "head": block.head}}
        case _:
            return {
                "caution": {
                    "signal": block.signal, "hazard": block.hazard,
                    "consequence": block.consequence, "avoidance": block.avoidance,
                }
            }  # fmt: skip


def _table(table: Table) -> dict[str, Any]:
    keys = [column.id for column in table.columns]
    return {
        "id": table.id,
        "columns": [{"id": column.id, "title": column.title} for column in table.columns],
        "rows": [dict(zip(keys, row, strict=True)) for row in table.rows],
    }
