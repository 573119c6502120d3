"""Open items of a job: what is noted, what blocks the release, what was settled."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widgets import DataTable

from commission.tui.job.lists import ListScreen

if TYPE_CHECKING:
    from commission.job.state import JobState, Note

NEW = 0
"""What is given for a new note; an open one to be closed gives its entry."""


class NotesScreen(ListScreen):
    """The notes; gives the entry of one to close, `NEW` for another, or None."""

    about = "Grade A blocks the release; B may follow later by agreement; a remark does neither."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f5", "new", "New note", id="notes.new", tooltip="Note something"),
    ]

    def __init__(self, state: JobState) -> None:
        """Show the notes of `state`."""
        self._notes = tuple(state.notes.values())
        super().__init__(
            "Open items and remarks",
            ("entry", "grade", "state", "text"),
            [(str(note.seq), note.grade or "-", _state(note), note.text) for note in self._notes],
            [f"{note.text}\n{note.by}. {_way(note)}" for note in self._notes],
            practice=state.opened is not None and state.opened.practice,
        )

    def on_mount(self) -> None:
        if not self._notes:
            self._detail.show("Nothing is noted yet. F5 notes something.")

    def action_new(self) -> None:
        self.dismiss(NEW)

    @on(DataTable.RowSelected)
    def close_note(self, event: DataTable.RowSelected) -> None:
        event.stop()
        note = self._notes[event.cursor_row]
        if not note.closed:
            self.dismiss(note.seq)


def _state(note: Note) -> str:
    return "closed" if note.closed else "open"


def _way(note: Note) -> str:
    return "It is closed." if note.closed else "Enter closes it."
