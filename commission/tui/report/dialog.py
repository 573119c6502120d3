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
    from textual.app import ComposeResult

    from commission.record.bench import Bench
    from commission.report.kinds import Kind

_HINT = (
    f"The file's ending says the format: .{', .'.join(FORMATS)}.\n"
    "Up, Down choose the sheet   Enter writes   F10 or Esc back"
)


class WriteReport(ModalScreen[Path | None]):
    """Writes one sheet of a job; gives the file, or None where nothing was written."""

    AUTO_FOCUS = "#file"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "dismiss(None)", "Back", show=False),
        Binding("down", "move('cursor_down')", "Down", show=False),
        Binding("up", "move('cursor_up')", "Up", show=False),
    ]
    DEFAULT_CSS = """
    WriteReport {
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

    def __init__(self, bench: Bench, job: str, about: str, *, is_finished: bool) -> None:
        """Write sheets of `job`, which `about` names for people."""
        super().__init__()
        self._bench = bench
        self._job = job
        self._about = about
        self._kind = HANDOVER if is_finished else STATE
        self._offered = ""
        self._replacing = ""
        self._is_writing = False

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Content("Write a report")
            yield Plain(f"{self._job}  {self._about}", style="bold")
            yield Plain("")
            lines = [Option(plain(f"{kind.name}, {kind.about}")) for kind in KINDS]
            yield Choices(*lines, id="kinds", can_focus=False)
            yield Field(placeholder="File to write", id="file", max_length=1000)
            yield Plain(id="said")
            yield Plain(_HINT, classes="hint")

    def on_mount(self) -> None:
        self.query_one(Choices).highlighted = KINDS.index(self._kind)

    @property
    def file(self) -> Field:
        """The field with the file's name."""
        return self.query_one("#file", Field)

    @on(OptionList.OptionHighlighted, "#kinds")
    def choose(self, event: OptionList.OptionHighlighted) -> None:
        """Offer a file for the sheet, unless a person typed one of his own."""
        event.stop()
        self._kind = KINDS[event.option_index]
        if self.file.value == self._offered:
            self._offered = f"{self._job}-{self._kind.slug}.pdf"
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
            document = document_of(kind, subject_of(self._bench, self._job))
            size = write(document, path, force=force)
        except CommissionError as error:
            self.post_message(self.NotWritten(error))
        else:
            self.post_message(self.Written(path, size))

    @on(Written)
    def leave(self, message: WriteReport.Written) -> None:
        text = f"{message.file.absolute()}: {self._kind.name}, {message.size} bytes"
        self.notify(text, title="Report written", markup=False)
        self.dismiss(message.file)

    @on(NotWritten)
    def say_why(self, message: WriteReport.NotWritten) -> None:
        self._is_writing = False
        self._replacing = ""
        self._say(message.error.diagnostics(), "$text-error")

    def _say(self, text: str, style: str = "") -> None:
        self.query_one("#said", Plain).show(text, style)
