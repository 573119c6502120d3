"""A message that must be read, with what can be done about it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission.tui.widgets import Choices, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult


class Notice(ModalScreen[str | None]):
    """Says something and offers choices; gives the one chosen, or None. The first is safe."""

    AUTO_FOCUS = "Choices"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "dismiss(None)", "Back", show=False),
    ]
    DEFAULT_CSS = """
    Notice {
        align: center middle;
        & > Vertical {
            width: 90%;
            max-width: 76;
            height: auto;
            max-height: 90%;
            padding: 1 2;
            background: $surface;
            border: round $border;
        }
        Choices { height: auto; margin: 1 0 0 0; }
    }
    """

    def __init__(self, title: str, text: str, choices: Sequence[str] = ("Back",)) -> None:
        """Say `text` under `title`; both are shown as they are."""
        super().__init__()
        self._title = title
        self._text = text
        self._choices = tuple(choices)

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = plain(self._title)
            yield Plain(self._text)
            yield Choices(*(Option(plain(f" {choice}")) for choice in self._choices))

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(self._choices[event.option_index])
