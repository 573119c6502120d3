"""A dialog of a few labelled lines, some of them typed unseen; it stays until they are taken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input

from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to type."""

    name: str
    label: str
    value: str = ""
    secret: bool = False
    """Whether it is typed unseen; it is then taken exactly as typed."""
    note: str = ""
    """What may be typed, in a few words."""
    longest: int = 200
    """Characters."""


class SecretForm(ModalScreen[bool]):
    """Asks; hands what was typed to `take`, which gives why it was refused or an empty text.

    Gives True when it was taken, False when it was left. What was typed unseen is cleared at a
    refusal.
    """

    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "app.focus_next", "Next line", id="lines.next", show=False),
        Binding("up", "app.focus_previous", "Line before", id="lines.previous", show=False),
        Binding("escape,f10", "leave", "Back", id="lines.leave", show=False,
                tooltip="Leave this; nothing is recorded"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    SecretForm {
        align: center middle;
        & > Vertical {
            width: 94%;
            max-width: 84;
            height: auto;
            max-height: 96%;
            padding: 1 2;
            background: $surface;
            border: round $border;
        }
        VerticalScroll { height: auto; max-height: 10; margin: 0 0 1 0; }
        Horizontal { height: 1; }
        /* Of its own: only what has a rule of this kind has those within it styled anew. */
        Horizontal:focus-within { background: $surface; }
        Horizontal:focus-within .label { color: $accent; text-style: bold; }
        .label { width: 22; text-align: right; padding: 0 1 0 0; text-wrap: nowrap;
                 text-overflow: ellipsis; }
        Field { width: 1fr; }
        .note { width: auto; max-width: 24; padding: 0 0 0 1; color: $text-muted;
                text-wrap: nowrap; text-overflow: ellipsis; }
        .refusal { height: auto; margin: 1 0 0 0; color: $text-error; display: none;
                   &.-shown { display: block; } }
        .hint { color: $text-muted; margin: 1 0 0 0; }
    }
    """

    def __init__(
        self, title: str, text: str, lines: Sequence[Line], take: Callable[[dict[str, str]], str]
    ) -> None:
        """Ask for `lines` under `title` and `text`."""
        super().__init__()
        self._title = title
        self._text = text
        self._lines = tuple(lines)
        self._take = take

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = plain(self._title)
            with VerticalScroll(can_focus=False):
                yield Plain(self._text)
            for line in self._lines:
                with Horizontal():
                    yield Plain(line.label, classes="label")
                    yield Field(line.value, id=line.name, password=line.secret,
                                max_length=line.longest)  # fmt: skip
                    if line.note:
                        yield Plain(line.note, classes="note")
            yield Plain(classes="refusal")
            yield Plain("Enter goes on, at the last line it is done. F10 or Esc leaves.",
                        classes="hint")  # fmt: skip

    def on_mount(self) -> None:
        self._field(self._lines[0]).focus()

    @on(Input.Submitted)
    def go_on(self, event: Input.Submitted) -> None:
        event.stop()
        if event.input is not self._field(self._lines[-1]):
            self.focus_next()
            return
        refusal = self._take({line.name: self._field(line).value for line in self._lines})
        if not refusal:
            self.dismiss(result=True)
            return
        said = self.query_one(".refusal", Plain)
        said.show(f"NOT TAKEN: {refusal}", "bold $text-error")
        said.set_class(True, "-shown")
        for line in reversed(self._lines):
            if line.secret:
                self._field(line).value = ""
                self._field(line).focus()

    def action_leave(self) -> None:
        self.dismiss(result=False)

    def _field(self, line: Line) -> Field:
        return self.query_one(f"#{line.name}", Field)
