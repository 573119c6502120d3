"""Taking settings from a file or from pasted lines: first a preview, then it counts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final

from rich.text import Text
from textual import events, on
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import DataTable, Input

from commission.job.importing import Imported, read_settings
from commission.safe_text import safe_text
from commission.tui.job.area import Area
from commission.tui.job.cells import LinesInput
from commission.tui.job.echo import echo
from commission.tui.job.gate import GateArea
from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask

_MOST_BYTES: Final = 1_000_000
_FAULTS_SHOWN: Final = 4


class ImportDialog(ModalScreen[dict[str, str] | None]):
    """Reads a list, shows what it would give, and gives it when that is confirmed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "dismiss(None)", "Back", id="import.leave", show=False,
                tooltip="Take nothing over"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ImportDialog {
        align: center middle;
        & > Vertical {
            width: 94%;
            max-width: 96;
            height: auto;
            max-height: 94%;
            padding: 1 1 0 1;
            background: $surface;
            border: round $border;
        }
        LinesInput { margin: 0 2 1 2; }
        DataTable { height: auto; max-height: 10; margin: 0 2; display: none;
            scrollbar-size-vertical: 1; background: $surface; }
        VerticalScroll { height: auto; max-height: 5; padding: 0 2; scrollbar-size-vertical: 1; }
        GateArea { display: none; }
        .hint { color: $text-muted; padding: 0 2; }
        &.-read DataTable, &.-read GateArea { display: block; }
        &.-read LinesInput { display: none; }
    }
    """

    def __init__(self, asks: Sequence[Ask], text: str = "") -> None:
        """Take values for `asks` from `text`, or from a file to be named."""
        super().__init__()
        self._asks = tuple(asks)
        self._text = text
        self._given: dict[str, str] = {}
        self.path = LinesInput(placeholder="Path of a CSV or JSON file, or paste the lines here")
        self.table: DataTable[Text] = DataTable(cursor_type="none", show_cursor=False)
        self.table.can_focus = False
        self._faults = Plain()
        self.gate = GateArea("import", "Take these values over.")
        self._hint = Plain(
            "Lines are name,value or name,value,unit. Enter reads the file. F10 or Esc: back.",
            classes="hint",
        )

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = plain("Settings from a list")
            yield self.path
            yield self.table
            with VerticalScroll(can_focus=False):
                yield self._faults
            yield self.gate
            yield self._hint

    def on_mount(self) -> None:
        for column in ("setting", "value", "understood"):
            self.table.add_column(Text(column), key=column)
        if self._text:
            self._preview(self._text)
        else:
            self.path.focus()

    @on(LinesInput.LinesPasted)
    def take_lines(self, event: LinesInput.LinesPasted) -> None:
        event.stop()
        self._preview(event.text)

    @on(Input.Submitted)
    def read_file(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        if not text:
            self._say("Type the path of the file first.")
        elif "," in text and not Path(text).expanduser().exists():
            self._preview(text)
        else:
            self._read(Path(text).expanduser())

    @on(Area.Confirmed)
    def give(self, event: Area.Confirmed) -> None:
        event.stop()
        self.dismiss(self._given)

    def on_paste(self, event: events.Paste) -> None:
        if not self.has_class("-read"):
            self._preview(event.text)

    def _read(self, path: Path) -> None:
        try:
            if path.stat().st_size > _MOST_BYTES:
                self._say(f"{path.name} is too large for a settings list.")
                return
            text = path.read_text(encoding="utf-8-sig")
        except OSError as error:
            self._say(f"{path} cannot be read: {error.strerror or error}.")
        except UnicodeDecodeError:
            self._say(f"{path.name} is no UTF-8 text. Save it as UTF-8 and try again.")
        else:
            self._preview(text)

    def _preview(self, text: str) -> None:
        imported = read_settings(text, self._asks)
        faults = [str(fault) for fault in imported.faults]
        self._given = {}
        self.table.clear()
        for taken in imported.taken:
            understood = echo(taken.ask, taken.text)
            if understood.understood:
                self._given[taken.ask.name] = understood.text
            else:
                faults.append(f"line {taken.line}: {taken.ask.label}: {understood.said}")
            cells = (taken.ask.label, taken.text, understood.said)
            self.table.add_row(*(Text(safe_text(cell)) for cell in cells))
        self._faults.show(_summary(imported, faults, len(self._given)), "")
        if self._given:
            self.add_class("-read")
            self._hint.show("What is not taken over can still be typed. F10 or Esc: back.")
            self.gate.focus_entry()
        else:
            self.path.focus()

    def _say(self, text: str) -> None:
        self._faults.show(text, "$text-error")


def _summary(imported: Imported, faults: list[str], count: int) -> str:
    lines = [f"{count} values can be taken over."]
    if faults:
        lines.append(f"NOT TAKEN, {len(faults)}:")
        lines += [f"  {fault}" for fault in faults[:_FAULTS_SHOWN]]
        if len(faults) > _FAULTS_SHOWN:
            lines.append(f"  and {len(faults) - _FAULTS_SHOWN} more.")
    if imported.missing:
        names = ", ".join(ask.label for ask in imported.missing[:_FAULTS_SHOWN])
        more = len(imported.missing) - _FAULTS_SHOWN
        lines.append(f"Without a value: {names}{f' and {more} more' if more > 0 else ''}.")
    return "\n".join(lines)
