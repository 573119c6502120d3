"""The list of all calculators: type to narrow it, Up and Down choose, Enter opens the form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.tui.calculators import listing
from commission.tui.calculators.opening import open_calculator
from commission.tui.widgets import Choices, Field, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.calculators.base import Calculator

_MARGINS: Final = 5
NOTHING: Final = "No calculator has these words. Escape shows all."


class Calculators(Screen[None]):
    """The field at the top always has the keys; the list follows it."""

    AUTO_FOCUS = "#filter"
    about = (
        "All calculators, by topic. Type a word of the topic, the name, what it gives or its"
        " formula; choose with Up and Down, and open with Enter."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Open", id="calculators.open", priority=True,
                tooltip="Open the highlighted calculator"),
        Binding("down", "move('cursor_down')", "Down", id="calculators.down", show=False),
        Binding("up", "move('cursor_up')", "Up", id="calculators.up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", id="calculators.pagedown",
                show=False),
        Binding("pageup", "move('page_up')", "Page up", id="calculators.pageup", show=False),
        Binding("escape", "clear", "Show all", id="calculators.clear", show=False,
                tooltip="Show all calculators again; where all are shown, go back"),
        Binding("f10", "app.back", "Back", id="calculators.back",
                tooltip="Back to where this was opened"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Calculators {
        #filter { margin: 1 1 0 1; }
        #found { height: 1fr; margin: 1 1 0 1; text-wrap: nowrap;
                 & > .option-list--option { padding: 0 1; } }
        #detail { height: 4; margin: 0 1; padding: 1 1 0 1; color: $text-muted; text-wrap: nowrap;
                  text-overflow: ellipsis; }
    }
    """

    @dataclass
    class Loaded(Message):
        """All declarations are there, and units are known."""

        calculators: tuple[Calculator, ...]

    def __init__(self) -> None:
        """Start empty; the declarations are loaded once this is on the screen."""
        super().__init__()
        self._rows: list[Calculator | None] = []
        self._is_loaded = False

    def compose(self) -> ComposeResult:
        yield TitleBar("commission", "calculators")
        yield Field(placeholder="Type to find one: topic, name, quantity, formula", id="filter")
        yield Choices(Option(plain("Reading …"), disabled=True), id="found", can_focus=False)
        yield Plain(id="detail")
        yield KeyBar()

    def on_mount(self) -> None:
        self.call_after_refresh(self._load)

    def on_resize(self) -> None:
        self._list()

    @work(thread=True, exclusive=True, group="load")
    def _load(self) -> None:
        from commission.calculators.catalogue import all_calculators
        from commission.quantities import registry

        self.post_message(self.Loaded(all_calculators()))
        registry()  # a quarter of a second that the form then need not wait

    @on(Loaded)
    def show_loaded(self) -> None:
        self._is_loaded = True
        self._list()

    @on(Input.Changed, "#filter")
    def narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._list()

    @on(OptionList.OptionHighlighted, "#found")
    def show_detail(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self._show_detail()

    @on(OptionList.OptionSelected, "#found")
    def open_clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_open()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer to open only what is there."""
        del parameters
        return self.is_mounted and self.highlighted is not None if action == "open" else True

    @property
    def highlighted(self) -> Calculator | None:
        """The highlighted calculator."""
        at = self.query_one("#found", Choices).highlighted
        return self._rows[at] if at is not None and at < len(self._rows) else None

    def action_open(self) -> None:
        chosen = self.highlighted
        if chosen is not None:
            open_calculator(self.app, chosen.name)

    def action_move(self, how: str) -> None:
        getattr(self.query_one("#found"), f"action_{how}")()

    async def action_clear(self) -> None:
        field = self.query_one("#filter", Field)
        if field.value:
            field.value = ""
        else:
            await self.app.run_action("back")

    def _list(self) -> None:
        if not self._is_loaded or not self.is_mounted:
            return
        from commission.calculators.catalogue import find

        typed = self.query_one("#filter", Field).value
        found = find(typed)
        options: list[Option] = []
        self._rows = []
        for topic, members in listing.by_topic(found):
            heading = f"{topic.capitalize()} ({len(members)})"
            options.append(Option(plain(heading, "bold $text-muted"), disabled=True))
            options += [Option(listing.line(each, self.size.width - _MARGINS)) for each in members]
            self._rows += [None, *members]
        choices = self.query_one("#found", Choices)
        choices.set_options(options or [Option(plain(NOTHING), disabled=True)])
        if found:
            choices.highlighted = self._rows.index(listing.best(found, typed))
        self._show_detail()

    def _show_detail(self) -> None:
        chosen = self.highlighted
        self.query_one("#detail", Plain).show(listing.detail(chosen) if chosen else "")
        self.refresh_bindings()
