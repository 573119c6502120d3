"""A dialog of a few labelled lines, some of them typed unseen; it stays until they are taken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Input

from commission.errors import RefusedError
from commission.tui.widgets import Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from commission.errors import CommissionError


_HINT: Final = "Enter goes on, at the last line it is done. F10 or Esc leaves."
_WARNING: Final = "What you typed would be lost. F10 or Esc once more leaves; Enter goes on."


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


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why what was typed is not taken."""

    text: str
    line: str = ""
    """The name of the line it is about; empty where it is about no line of its own."""

    @classmethod
    def of(cls, error: CommissionError) -> Refusal:
        """Return a refusal in words, at the line of what it is about."""
        return cls(error.diagnostics(), error.about if isinstance(error, RefusedError) else "")


class SecretForm(ModalScreen[bool]):
    """Asks; hands what was typed to `take`, which gives why it was refused or an empty text.

    Gives True when it was taken, False when it was left. A refusal stands above the line it is
    about, and that line has the keys; all else stays as it was typed. Only what was typed unseen
    in that line is cleared, together with the unseen lines right below that repeat it.
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
            overflow-y: auto;
            scrollbar-size-vertical: 1;
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
        .refusal { height: auto; color: $text-error; display: none; &.-shown { display: block; } }
        .hint { color: $text-muted; margin: 1 0 0 0; }
    }
    """

    def __init__(
        self, title: str, text: str, lines: Sequence[Line],
        take: Callable[[dict[str, str]], str | Refusal],
    ) -> None:  # fmt: skip
        """Ask for `lines` under `title` and `text`."""
        super().__init__()
        self._title = title
        self._text = text
        self._lines = tuple(lines)
        self._take = take
        self._is_warned = False

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = plain(self._title)
            with VerticalScroll(can_focus=False):
                yield Plain(self._text)
            yield Plain(classes="refusal")
            for line in self._lines:
                with Horizontal():
                    yield Plain(line.label, classes="label")
                    yield Field(line.value, id=line.name, password=line.secret,
                                max_length=line.longest)  # fmt: skip
                    if line.note:
                        yield Plain(line.note, classes="note")
            yield Plain(_HINT, classes="hint")

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
        self._refuse(refusal if isinstance(refusal, Refusal) else Refusal(refusal))

    @on(Input.Changed)
    def forget_warning(self, event: Input.Changed) -> None:
        event.stop()
        if self._is_warned:
            self._warn(False)

    def action_leave(self) -> None:
        typed = any(self._field(line).value != line.value for line in self._lines)
        if typed and not self._is_warned:
            self._warn(True)
            return
        self.dismiss(result=False)

    def _warn(self, is_warned: bool) -> None:
        self._is_warned = is_warned
        self.query_one(".hint", Plain).show(_WARNING if is_warned else _HINT)
        self.query_one(".hint").scroll_visible(animate=False)

    def _refuse(self, refusal: Refusal) -> None:
        names = [line.name for line in self._lines]
        at = len(names) - 1 if len(names) == 1 else -1
        if refusal.line in names:
            at = names.index(refusal.line)
        said, fields = self.query_one(".refusal", Plain), [*map(self._field, self._lines)]
        said.show(f"NOT TAKEN: {refusal.text}", "bold $text-error")
        said.set_class(True, "-shown")
        row = [*self.query(Horizontal)][max(at, 0)]
        self.query_one("SecretForm > Vertical", Vertical).move_child(said, before=row)
        if at < 0:
            said.scroll_visible(animate=False)
            return
        fields[at].focus()
        for line, field in zip(self._lines[at:], fields[at:], strict=True):
            if not line.secret:
                break
            field.value = ""

    def _field(self, line: Line) -> Field:
        return self.query_one(f"#{line.name}", Field)
