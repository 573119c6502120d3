"""The help page, written from the bindings of the screen it is asked on."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.app import App, ComposeResult
    from textual.binding import ActiveBinding
    from textual.screen import Screen

_KEY_COLUMN: Final = 12
GENERAL: Final = (
    "Keys struck before a new step is shown are not taken, and a key held down counts once.",
    "What is confirmed is on the disk before the screen says so; leaving at any moment is safe.",
    "To select text with the mouse, hold Shift. Nothing needs a mouse.",
    "If keys do odd things in your terminal, start with TEXTUAL_DISABLE_KITTY_KEY=1.",
    "commission --plain does the same job as line prompts, for screen readers.",
)
"""What holds on every screen."""


class HelpPage(ModalScreen[None]):
    """Every key that does something now, and what holds everywhere."""

    type_ahead = True
    AUTO_FOCUS = "VerticalScroll"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f10,f1,enter", "dismiss", "Back", show=False),
    ]
    DEFAULT_CSS = """
    HelpPage {
        align: center middle;
        & > Vertical {
            width: 92%;
            max-width: 96;
            height: auto;
            max-height: 96%;
            padding: 0 2;
            background: $surface;
            border: round $border;
        }
        VerticalScroll { height: auto; max-height: 100%; scrollbar-size-vertical: 1; }
        .hint { color: $text-muted; margin: 1 0 0 0; }
    }
    """

    def __init__(self, text: Content) -> None:
        """Show `text`, as `help_text` gives it."""
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        with Vertical() as box:
            box.border_title = Content("Help")
            with VerticalScroll():
                yield Plain(self._text)
                yield Plain("F10, Esc or Enter: back", classes="hint")


def help_text(app: App[None], screen: Screen[object], about: str = "") -> Content:
    """Return what the keys do on `screen` now; `about` stands first."""
    bindings = [active for active in screen.active_bindings.values() if active.binding.description]
    named = [active for active in bindings if active.binding.id]
    here = [active for active in named if active.node is not app]
    everywhere = [active for active in named if active.node is app]
    parts = [
        plain(f"{about}\n\n", lines=True) if about else Content(""),
        _section("Here", here, app),
        _section("Everywhere", everywhere, app),
        Content.styled("Good to know\n", "bold underline"),
        *(plain(f"- {sentence}\n", lines=True) for sentence in GENERAL),
    ]
    return Content("").join(parts).rstrip()


def _section(title: str, bindings: Iterable[ActiveBinding], app: App[None]) -> Content:
    lines = [
        Content.assemble(
            (f"{app.get_key_display(active.binding):<{_KEY_COLUMN}}", "bold"),
            plain(active.tooltip or active.binding.description),
            plain("   (not now)" if not active.enabled else "", "$text-muted"),
            "\n",
        )
        for active in bindings
    ]
    if not lines:
        return Content("")
    return Content("").join([Content.styled(f"{title}\n", "bold underline"), *lines, Content("\n")])
