"""The guide's table of probes is the vocabulary's; `COMMISSION_SNAPSHOTS=update` writes it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

from commission.procedure.vocabulary import PROBES, SETTING_WORDS, Outcome

GUIDE: Final = Path(__file__).parents[2] / "DEVELOPERS.md"
BEGIN, END = "<!-- probes -->\n", "<!-- /probes -->\n"


def table() -> str:
    """Return the probes as a table: choices with their words, then the others by sort."""
    lines = ["| probe | an option stands for, by these words |", "| --- | --- |"]
    rows = {name: each.outcomes for name, each in PROBES.items() if each.sort == "choice"}
    rows |= {f"setting.{role}": outcomes for role, outcomes in SETTING_WORDS.items()}
    lines += [
        f"| `{name}` | {'; '.join(map(words, outcomes))} |" for name, outcomes in rows.items()
    ]
    for sort in ("number", "done", "text", "file"):
        names = ", ".join(f"`{name}`" for name, each in PROBES.items() if each.sort == sort)
        lines.append(f"| {sort} | {names} |")
    return "\n".join(["", *lines, "", ""])


def words(outcome: Outcome) -> str:
    """Return an outcome with its words."""
    return f"*{outcome.name}*: {', '.join(outcome.words)}"


def test_the_guide_lists_the_probes_as_they_are() -> None:
    guide = GUIDE.read_text(encoding="utf-8")
    before, rest = guide.split(BEGIN)
    listed, after = rest.split(END)
    if os.environ.get("COMMISSION_SNAPSHOTS") == "update":
        GUIDE.write_text(f"{before}{BEGIN}{table()}{END}{after}", encoding="utf-8")
        return
    assert listed == table()
