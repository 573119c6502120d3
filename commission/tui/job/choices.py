"""Answers picked from a list: nothing is preselected, so a bare Enter never passes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission.tui.job.area import Area
from commission.tui.widgets import Choices, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual import events
    from textual.app import ComposeResult

    from commission.job.ask import Ask

_YES_NO = ("yes", "no")
_HINT = "Move the bar with the arrows or a number, then Enter."


class ChoiceList(Choices):
    """The options of one question, numbered; a digit moves the bar, Enter picks."""

    DEFAULT_CSS = """
    ChoiceList, ChoiceList:focus {
        height: auto;
        max-height: 14;
        border: round $border-blurred;
        padding: 0 1;
    }
    ChoiceList:focus { border: round $border; }
    """

    def on_key(self, event: events.Key) -> None:
        character = event.character or ""
        if character.isascii() and character.isdigit():
            event.stop()
            at = int(character) - 1
            self.highlighted = at if 0 <= at < self.option_count else None
        elif event.is_printable and event.key != "space":
            self.highlighted = None


class ChoiceArea(Area):
    """One question after another, each with its list; gives all answers after the last."""

    KEPT = True

    def __init__(self, asks: Sequence[Ask]) -> None:
        """Ask for `asks`, each a choice or a yes/no, in order."""
        super().__init__()
        self.asks = tuple(asks)
        self._chosen: dict[str, str] = {}
        self._at = 0
        self._question = Plain()
        self.list = ChoiceList()
        self._hint = Plain(_HINT, classes="hint")

    def compose(self) -> ComposeResult:
        yield self._question
        yield self.list
        yield self.refusal
        yield self._hint

    def on_mount(self) -> None:
        self._show()

    @property
    def ask(self) -> Ask:
        """The question that is asked now."""
        return self.asks[self._at]

    @property
    def options(self) -> tuple[str, ...]:
        """The answers it can have."""
        return self.ask.choices or _YES_NO

    @property
    def typed(self) -> dict[str, str]:
        return dict(self._chosen)

    def put_back(self, typed: Mapping[str, str]) -> None:
        names = [ask.name for ask in self.asks]
        self._chosen = {name: text for name, text in typed.items() if name in names}
        self._at = min(len(self._chosen), len(self.asks) - 1)

    def ask_as(self, fresh: ChoiceArea) -> None:
        self.asks = fresh.asks
        self.put_back(fresh.typed)
        self.refuse("")
        self._show()

    def focus_entry(self) -> None:
        self.list.focus()

    def _show(self) -> None:
        several = len(self.asks) > 1
        count = f"{self._at + 1} of {len(self.asks)}: " if several else ""
        good = f"   (good: {self.ask.criterion})" if self.ask.criterion and several else ""
        self._question.show(f"{count}{self.ask.label}{good}", "bold")
        self._question.display = several
        self.list.set_options(
            Option(plain(f"{number}  {option}")) for number, option in enumerate(self.options, 1)
        )
        self.list.highlighted = None
        self._hint.show(_HINT)

    def on_key(self, event: events.Key) -> None:
        if self.list.highlighted is None:
            self._hint.show(_HINT)
        if event.key == "enter" and self.list.highlighted is None:
            self.refuse("nothing is picked yet; move the bar to what you see.")

    @on(OptionList.OptionHighlighted)
    def say_what_is_picked(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.refuse("")
        picked = self.options[event.option_index]
        self._hint.show(f"Picked: {event.option_index + 1} {picked}. Enter takes it.", "bold")

    @on(OptionList.OptionSelected)
    def take_choice(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if self.list.highlighted != event.option_index:
            return
        self._chosen[self.ask.name] = self.options[event.option_index]
        if self._at + 1 < len(self.asks):
            self._at += 1
            self._show()
        else:
            self.post_message(self.Given(dict(self._chosen)))
