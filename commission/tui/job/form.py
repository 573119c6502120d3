"""A dialog that asks a few things, one after another, and stays until they are taken."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen

from commission.tui.job.fields import FieldsArea
from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask
    from commission.tui.job.area import Area


class Form(ModalScreen[bool]):
    """Asks; hands what was given to `take`, which gives why it was refused or an empty text.

    Gives True when it was taken, False when it was left.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "leave", "Back", id="form.leave", show=False,
                tooltip="Leave this without recording anything"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Form {
        align: center middle;
        & > Vertical {
            width: 92%;
            max-width: 84;
            height: auto;
            max-height: 94%;
            padding: 1 1;
            background: $surface;
            border: round $border;
        }
        VerticalScroll { height: auto; max-height: 10; padding: 0 2; scrollbar-size-vertical: 1; }
        .hint { color: $text-muted; padding: 0 2; margin-top: 1; }
    }
    """

    def __init__(
        self, title: str, text: str, asks: Sequence[Ask], take: Callable[[dict[str, str]], str]
    ) -> None:
        """Ask for `asks` under `title` and `text`."""
        super().__init__()
        self._title = title
        self._text = text
        self._take = take
        self.area = FieldsArea(asks)
        self._given: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = plain(self._title)
            with VerticalScroll(can_focus=False):
                yield Plain(self._text)
            yield self.area
            yield Plain("Enter goes on, Up goes back a field, F10 or Esc leaves.", classes="hint")

    def on_mount(self) -> None:
        self.area.focus_entry()

    @on(FieldsArea.Given)
    def hand_on(self, event: Area.Given) -> None:
        event.stop()
        self._given = event.given
        self._hand_on()

    async def hand_on_again(self) -> None:
        """Hand on once more what was given, now that it can be taken."""
        self._hand_on()

    def _hand_on(self) -> None:
        refusal = self._take(self._given)
        if refusal:
            self.area.refuse(refusal)
        else:
            self.dismiss(result=True)

    def action_leave(self) -> None:
        self.dismiss(result=False)
