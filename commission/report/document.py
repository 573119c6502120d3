"""What a sheet is made of, before it has a format: blocks of text, tables, figures, proofs.

Values only. Text is as people wrote it; each renderer makes it harmless in its own way, so nothing
here is escaped. The same document gives the same bytes: no clock, no chance, no machine is asked.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from commission.job.entry import Digest
    from commission.report.drawing import Drawing


@dataclass(frozen=True, slots=True)
class Heading:
    """A title inside the document: level 1 begins a section, 2 a part of it, 3 a step in a part."""

    text: str
    level: int = 1


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; `loud` where it must not be missed."""

    text: str
    loud: bool = False


@dataclass(frozen=True, slots=True)
class Points:
    """A list, one line each."""

    items: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class Warn:
    """A caution: signal word, hazard, consequence, avoidance."""

    signal: str
    hazard: str
    consequence: str
    avoidance: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with a value each."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its key for data, its title for people, its share of the width."""

    id: str
    title: str
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of texts; where there are none, `empty` says so."""

    id: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str = "None."
    loud: frozenset[int] = frozenset()
    """Rows that must not be missed, by index; they say why in words as well."""
    blank: bool = False
    """Whether empty cells are to be written in by hand: rows are taller, cells are ruled."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture, and in words what it shows, for whoever does not see it."""

    title: str
    drawing: Drawing
    says: str
    points: Table | None = None
    """The numbers behind it, for data formats."""


@dataclass(frozen=True, slots=True)
class Blanks:
    """Labels with a line behind each, to be filled in by hand."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """The digest of a record's newest entry, as text and as a picture that phones read."""

    stream: str
    entries: int
    head: Digest


Block = Heading | Paragraph | Points | Warn | Facts | Table | Figure | Blanks | Proof


def parted(blocks: Sequence[Block]) -> tuple[Sequence[Block], Sequence[Block]]:
    """Return the blocks, and apart from them the last section where that holds the proof.

    That section and the visible end stay together on a page.
    """
    begin = max((at for at, one in enumerate(blocks) if isinstance(one, Heading)), default=0)
    if any(isinstance(one, Proof) for one in blocks[begin:]):
        return blocks[:begin], blocks[begin:]
    return blocks, ()


@dataclass(frozen=True, slots=True)
class Document:
    """A sheet, ready to be given a format."""

    kind: str
    """What it is, in words: `handover sheet`."""
    title: str
    about: str
    """What it is about, in one line: frame and model of a bike."""
    stream: str
    """The record it was made from: a job's id."""
    entries: int
    """How many entries that record had."""
    head: Digest
    until: str
    """The moment of the newest entry, RFC 3339; empty for none."""
    blocks: tuple[Block, ...]
    data: Table
    """What the sheet gives as CSV."""
    practice: bool = False
    """Whether it is about practice; then each page says so."""
    standing: str = ""
    """How the work stands, in words; said on each page where it is not finished."""
    ended: str = "released"
    """How it stands where `standing` says nothing, for data formats."""
    source: str = ""
    """What it was made from, in words, where that is no record: `12 trials`."""
    banner: str = field(init=False)
    """What each page says first; empty where there is nothing to warn of."""

    @property
    def full_title(self) -> str:
        """What a window or a list of files calls it: sheet and record."""
        return f"{self.title} · {self.stream}"

    def __post_init__(self) -> None:
        """Put the banner together."""
        words = ["PRACTICE: not a real bike"] if self.practice else []
        words += [self.standing] if self.standing else []
        object.__setattr__(self, "banner", " · ".join(words))
