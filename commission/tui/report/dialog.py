"""The dialog that writes a sheet: which one, and into which file; the ending says the format."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.errors import CommissionError
from commission.report.kinds import HANDOVER, KINDS, STATE, document_of
from commission.report.render.formats import FORMATS, format_of, write
from commission.report.subject import subject_of
from commission.tui.widgets import Choices, Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.report.document import Document
    from commission.report.kinds import Kind

_HINT = (
    "The file's ending says the format: ." + ", .".join(FORMATS) + ".\n"
    "{choose}Enter writes   F10 or Esc back"
)
_CHOOSE = "Up, Down choose the sheet   "


class WriteSheet(ModalScreen[Path | None]):
    """Writes one sheet of a record; gives the file, or None where nothing was written."""

    AUTO_FOCUS = "#file"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "dismiss(None)", "Back", show=False),
        Binding("down", "move('cursor_down')", "Down", show=False),
        Binding("up", "move('cursor_up')", "Up", show=False),
    ]
    DEFAULT_CSS = """
    WriteSheet {
        align: center middle;
        & > Vertical {
            width: 90%;
            max-width: 84;
            height: auto;
            max-height: 94%;
            padding: 1 2;
            background: $surface;
            border: round $border;
        }
        Choices { height: auto; margin: 0 0 1 0; }
        #said { margin: 1 0 0 0; height: auto; max-height: 6; }
        .hint { color: $text-muted; margin: 1 0 0 0; }
    }
    """

    @dataclass
    class Written(Message):
        """The file is there."""

        file: Path
        size: int

    @dataclass
    class NotWritten(Message):
        """It could not be made or written."""

        error: CommissionError

    def __init__(
        self, record: str, about: str, kinds: Sequence[Kind], first: Kind,
        made: Callable[[Kind], Document],
    ) -> None:  # fmt: skip
        """Write sheets of a record, which `about` names for people.

        Args:
            record: its id, which begins the name of the file that is offered.
            about: what people call it by.
            kinds: the sheets there are.
            first: the one that is offered.
            made: makes one; called in a thread.
        """
        super().__init__()
        self._record = record
        self._about = about
        self._kinds = tuple(kinds)
        self._kind = first
        self._made = made
        self._offered = ""
        self._replacing = ""
        self._is_writing = False

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Content("Write a report")
            yield Plain(f"{self._record}  {self._about}", style="bold")
            yield Plain("")
            lines = [Option(plain(f"{kind.name}, {kind.about}")) for kind in self._kinds]
            yield Choices(*lines, id="kinds", can_focus=False)
            yield Field(placeholder="File to write", id="file", max_length=1000)
            yield Plain(id="said")
            several = _CHOOSE if len(self._kinds) > 1 else ""
            yield Plain(_HINT.format(choose=several), classes="hint")

    def on_mount(self) -> None:
        self.query_one(Choices).highlighted = self._kinds.index(self._kind)

    @property
    def file(self) -> Field:
        """The field with the file's name."""
        return self.query_one("#file", Field)

    @on(OptionList.OptionHighlighted, "#kinds")
    def choose(self, event: OptionList.OptionHighlighted) -> None:
        """Offer a file for the sheet, unless a person typed one of his own."""
        event.stop()
        self._kind = self._kinds[event.option_index]
        if self.file.value == self._offered:
            self._offered = f"{self._record}-{self._kind.slug}.pdf"
            self.file.value = self._offered
            self.file.cursor_position = len(self._offered)

    @on(OptionList.OptionSelected, "#kinds")
    def choose_clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()

    @on(Input.Submitted, "#file")
    def write_file(self, event: Input.Submitted) -> None:
        """Write; a file that is there is replaced at the second Enter."""
        event.stop()
        if self._is_writing:
            return
        path = Path(event.value.strip()).expanduser()
        try:
            format_of(path)
        except CommissionError as error:
            self._say(error.diagnostics(), "$text-error")
            return
        if path.exists() and self._replacing != str(path):
            self._replacing = str(path)
            self._say(f"{path} is there already. Enter again replaces it.", "$text-warning")
            return
        self._is_writing = True
        self._say("Writing …")
        self._write(self._kind, path, force=self._replacing == str(path))

    def action_move(self, how: str) -> None:
        getattr(self.query_one(Choices), f"action_{how}")()

    @work(thread=True, exclusive=True, group="report")
    def _write(self, kind: Kind, path: Path, *, force: bool) -> None:
        try:
            size = write(self._made(kind), path, force=force)
        except CommissionError as error:
            self.post_message(self.NotWritten(error))
        else:
            self.post_message(self.Written(path, size))

    @on(Written)
    def leave(self, message: WriteSheet.Written) -> None:
        text = f"{message.file.absolute()}: {self._kind.name}, {message.size} bytes"
        self.notify(text, title="Report written", markup=False)
        self.dismiss(message.file)

    @on(NotWritten)
    def say_why(self, message: WriteSheet.NotWritten) -> None:
        self._is_writing = False
        self._replacing = ""
        self._say(message.error.diagnostics(), "$text-error")

    def _say(self, text: str, style: str = "") -> None:
        self.query_one("#said", Plain).show(text, style)


class WriteReport(WriteSheet):
    """Writes one sheet of a job."""

    def __init__(self, bench: Bench, job: str, about: str, *, is_finished: bool) -> None:
        """Write sheets of `job`, which `about` names for people."""
        first = HANDOVER if is_finished else STATE
        super().__init__(
            job, about, KINDS, first, lambda kind: document_of(kind, subject_of(bench, job))
        )
