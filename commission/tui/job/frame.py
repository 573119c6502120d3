"""What stands around a card: header, last record lines, status line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from commission.job.route import progress
from commission.tui.job.told import entry_words, local_clock, shortened
from commission.tui.widgets import Plain, TitleBar, plain

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from commission.job.entry import Entry
    from commission.job.state import JobState

_DIGEST = 8
_BESIDE_TAIL = 4
"""Columns beside a line of the record's tail."""
_LEAST_TITLE = 24
PRACTICE = "PRACTICE"


class JobHeader(TitleBar):
    """The job, the bike and the procedure's revision, always in sight."""

    DEFAULT_CSS = """
    JobHeader { height: auto; text-wrap: wrap; }
    """

    def show_job(self, state: JobState, technician: str) -> None:
        """Show which job this is, and who works on it."""
        opened = state.opened
        if opened is None:
            return
        frame = opened.bike.get("frame", "")
        left = (
            f"{opened.job}  {frame}  {opened.procedure} r{opened.revision}"
            f" {opened.digest[:_DIGEST]}"
        )
        self.set_ends(left, f"{PRACTICE}  {technician}" if opened.practice else technician)

    def _lay_out(self) -> None:
        left, right = (plain(end) for end in self._ends)
        if right.plain.startswith(PRACTICE):
            right = right.stylize("reverse", 0, len(PRACTICE))
        width = self.content_size.width
        gap = width - left.cell_length - right.cell_length
        filler = " " * gap if gap > 1 else "\n"
        self.show(Content.assemble(left, filler, right))


class RecordTail(Plain):
    """The last lines of the record."""

    DEFAULT_CSS = """
    RecordTail {
        height: 3;
        padding: 0 2;
        color: $text-muted;
        border-top: hkey $line;
        text-wrap: nowrap;
        text-overflow: ellipsis;
    }
    """

    def show_entries(
        self, entries: Sequence[Entry], titles: Mapping[str, str], *, kept_from: str = ""
    ) -> None:
        """Show `entries`, oldest first; nothing of the step `kept_from`.

        Titles too long for the window give way to what was given.
        """
        wide = self.app.size.width - _BESIDE_TAIL
        short = shortened(titles, max(_LEAST_TITLE, wide // 2 - 6))
        full = [entry_words(entry, titles, kept_from=kept_from) for entry in entries]
        words = [
            line if len(line) <= wide else entry_words(entry, short, kept_from=kept_from)
            for line, entry in zip(full, entries, strict=True)
        ]
        self.show("\n".join(words))


class StatusLine(TitleBar):
    """Where the job is, that it is saved and when, and what comes next."""

    DEFAULT_CSS = """
    StatusLine { dock: none; height: 1; text-style: none; background: $surface; }
    """

    def show_state(self, state: JobState, number: str) -> None:
        """Show progress, the moment of the last entry and the open items."""
        done, total = progress(state)
        step = f"Step {number} · " if number else ""
        items = [note for note in state.notes.values() if note.grade and not note.closed]
        blocking = sum(note.grade == "A" for note in items)
        word = "item" if len(items) == 1 else "items"
        notes = f"{len(items) or 'no'} open {word}{f', {blocking} grade A' if blocking else ''}"
        self.set_ends(f"{step}{done}/{total} done · saved {local_clock(state.at)[:5]}", notes)
