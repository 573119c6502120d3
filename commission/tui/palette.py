"""Find: type a few letters of a command or a step, and go there."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, ClassVar, Protocol, runtime_checkable

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from commission.tui.widgets import Choices, Field, Plain, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from textual.app import App, ComposeResult
    from textual.screen import Screen

_NOT_OFFERED = frozenset({"app.find", "app.quit.quiet"})


@dataclass(frozen=True, slots=True)
class Command:
    """Something a person can go to or have done."""

    title: str
    run: Callable[[], object] = field(compare=False)
    """Called after the search is closed; may return an awaitable."""
    detail: str = ""
    key: str = ""
    """The key that does the same; empty where none does."""


@runtime_checkable
class OffersCommands(Protocol):
    """A screen with commands beside those its keys are bound to (the steps of a job)."""

    def commands(self) -> Iterable[Command]:
        """Return them in the order in which they are listed before anything is typed."""


def commands_of(app: App[None], screen: Screen[object]) -> tuple[Command, ...]:
    """Return what can be done on `screen` now: its own, those with keys, then the calculators."""
    from commission.tui.audit import opening as audits
    from commission.tui.calculators.opening import ways
    from commission.tui.practice import opening as practice
    from commission.tui.register import opening as register
    from commission.tui.trials import opening as trials

    own = tuple(screen.commands()) if isinstance(screen, OffersCommands) else ()
    bound = (
        Command(
            active.binding.description,
            partial(app.run_action, active.binding.action, active.node),
            active.tooltip,
            app.get_key_display(active.binding),
        )
        for active in screen.active_bindings.values()
        if active.enabled
        and active.binding.id
        and active.binding.description
        and active.binding.id not in _NOT_OFFERED
    )
    others = (*practice.ways(app), *trials.ways(app), *register.ways(app), *audits.ways(app))
    reached = (*others, *ways(app))
    everywhere = (Command(title, run, detail) for title, detail, run in reached)
    return (*own, *bound, *everywhere)


def found(commands: Sequence[Command], typed: str) -> tuple[Command, ...]:
    """Return the commands that have every typed word, best first: a title's start, then words'."""
    words = typed.casefold().split()

    def rank(command: Command) -> int | None:
        title = command.title.casefold()
        text = f"{title} {command.detail.casefold()}"
        if not all(word in text for word in words):
            return None
        if not words or title.startswith(words[0]):
            return 0
        return 1 if all(f" {word}" in f" {title}" for word in words) else 2

    ranked = [(rank(command), command) for command in commands]
    kept = [(place, command) for place, command in ranked if place is not None]
    return tuple(command for _, command in sorted(kept, key=lambda pair: pair[0]))


class Palette(ModalScreen[Command | None]):
    """The search box; gives the command that was chosen, or None."""

    type_ahead = True
    AUTO_FOCUS = "#find"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10", "dismiss(None)", "Back", show=False),
        Binding("down", "move('cursor_down')", "Down", show=False),
        Binding("up", "move('cursor_up')", "Up", show=False),
        Binding("pagedown", "move('page_down')", "Page down", show=False),
        Binding("pageup", "move('page_up')", "Page up", show=False),
    ]
    DEFAULT_CSS = """
    Palette {
        align: center top;
        & > Vertical {
            width: 90%;
            max-width: 100;
            height: 85%;
            margin: 2 0 0 0;
            padding: 0 2;
            background: $surface;
            border: round $border;
        }
        Choices { height: 1fr; margin: 1 0; text-wrap: nowrap; text-overflow: ellipsis; }

        .hint { color: $text-muted; }
    }
    """

    def __init__(self, commands: Sequence[Command]) -> None:
        """Offer `commands`."""
        super().__init__()
        self._commands = tuple(commands)
        self._found = self._commands

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Content("Find a step or a command")
            yield Field(placeholder="Type a few letters", id="find")
            yield Choices(id="found", can_focus=False)
            yield Plain("Enter goes there   Up, Down choose   F10 or Esc back", classes="hint")

    def on_mount(self) -> None:
        self._list("")

    @on(Input.Changed, "#find")
    def list_found(self, event: Input.Changed) -> None:
        event.stop()
        self._list(event.value)

    @on(Input.Submitted, "#find")
    def choose_highlighted(self, event: Input.Submitted) -> None:
        event.stop()
        at = self.query_one(Choices).highlighted
        if at is not None and at < len(self._found):
            self.dismiss(self._found[at])

    @on(OptionList.OptionSelected)
    def choose_clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(self._found[event.option_index])

    def action_move(self, how: str) -> None:
        getattr(self.query_one(Choices), f"action_{how}")()

    def _list(self, typed: str) -> None:
        choices = self.query_one(Choices)
        self._found = found(self._commands, typed)
        lines = [Option(_line(command)) for command in self._found]
        choices.set_options(lines or [Option(plain("Nothing has these letters."), disabled=True)])
        if lines:
            choices.highlighted = 0


def _line(command: Command) -> Content:
    detail = plain(f"   {command.detail}", "$text-muted") if command.detail else Content("")
    key = plain(f"{command.key:<7}", "bold") if command.key else Content("       ")
    return Content.assemble(key, plain(command.title), detail)
