"""The widgets every screen is made of; text from people and files goes through them as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from textual.content import Content
from textual.widgets import Input, OptionList, Static

from commission.safe_text import safe_text

if TYPE_CHECKING:
    from textual import events
    from textual.binding import Binding
    from textual.screen import Screen
    from textual.widgets.option_list import Option

MOST_KEYS: Final = 6
"""How many keys the key bar shows; the others stand in the help and in the search."""

_KEY_NAMES: Final = {
    "pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc", "backspace": "Backspace",
    "question_mark": "?", "slash": "/", "plus": "+", "minus": "-", "full_stop": ".", "comma": ",",
}  # fmt: skip


def plain(text: object, style: str = "", *, lines: bool = False) -> Content:
    """Return `text` as content in which nothing is markup and no control character takes effect.

    `style` is a Textual style such as `bold $text-muted`; `lines` keeps line breaks.
    """
    safe = safe_text(text, lines=lines)
    return Content.styled(safe, style) if style else Content(safe)


class Plain(Static):
    """Text shown as it is; `show` replaces it."""

    def __init__(
        self,
        text: object = "",
        *,
        style: str = "",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        """Show `text`, which may have several lines."""
        content = text if isinstance(text, Content) else plain(text, style, lines=True)
        super().__init__(content, id=id, classes=classes, markup=False)

    def show(self, text: object, style: str = "") -> None:
        """Replace the text; the screen is laid out anew only where that takes another height."""
        content = text if isinstance(text, Content) else plain(text, style, lines=True)
        if isinstance(self.content, Content) and self.content.is_same(content):
            return
        self.update(content, layout=False)
        if self._takes_another_height():
            self.refresh(layout=True)

    def _takes_another_height(self) -> bool:
        has, styles = self.content_size, self.styles
        if not has.width or styles.is_auto_width:
            return True
        if styles.height is not None and not styles.is_auto_height:
            return False
        return self.get_content_height(self.size, self.size, has.width) != has.height


class TitleBar(Plain):
    """The top line: where this is on the left, whose it is on the right."""

    DEFAULT_CSS = """
    TitleBar {
        dock: top;
        height: 1;
        padding: 0 1;
        background: $panel;
        color: $text;
        text-style: bold;
        text-wrap: nowrap;
        text-overflow: ellipsis;
    }
    """

    def __init__(self, left: str, right: str = "", *, id: str | None = None) -> None:
        """Show `left` and, as far as there is room, `right` at the far end."""
        super().__init__(left, id=id)
        self._ends = (left, right)

    def set_ends(self, left: str, right: str = "") -> None:
        """Replace both ends."""
        self._ends = (left, right)
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        left, right = (plain(end) for end in self._ends)
        gap = self.content_size.width - left.cell_length - right.cell_length
        self.show(Content.assemble(left, " " * gap, right) if right.plain and gap > 1 else left)


class Field(Input):
    """One line to type in, kept exactly as typed; its cursor does not blink."""

    DEFAULT_CSS = """
    Field, Field:focus {
        height: 1;
        border: none;
        border-left: vkey $line;
        padding: 0 1 0 0;
        background: $panel;
        color: $text;
    }
    Field:focus {
        border-left: outer $accent;
    }
    Field > .input--placeholder {
        color: $text-muted;
    }
    """

    def __init__(
        self,
        value: str = "",
        *,
        placeholder: str = "",
        password: bool = False,
        max_length: int = 500,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        """Start from `value`; the placeholder is shown while nothing is typed."""
        super().__init__(
            value,
            placeholder=safe_text(placeholder),
            password=password,
            max_length=max_length,
            select_on_focus=False,
            id=id,
            classes=classes,
        )
        self.cursor_blink = False


class Choices(OptionList):
    """A list to choose from, one line each; give it contents made by `plain`."""

    DEFAULT_CSS = """
    Choices, Choices:focus {
        border: none;
        padding: 0;
        background: $background;
        background-tint: transparent;
        scrollbar-size-vertical: 1;
        & > .option-list--option-disabled { color: $text-muted; }
        & > .option-list--option-highlighted {
            color: $block-cursor-foreground;
            background: $block-cursor-background;
            text-style: bold;
        }
    }
    """

    def __init__(self, *options: Option, id: str | None = None, can_focus: bool = True) -> None:
        """List `options`; one that cannot be focused is moved in by its screen's keys."""
        super().__init__(*options, id=id, markup=False)
        self.can_focus = can_focus


class KeyBar(Static):
    """The bottom line: what the most important keys do here, at most six of them."""

    DEFAULT_CSS = """
    KeyBar {
        dock: bottom;
        height: 1;
        padding: 0 1;
        background: $panel;
        color: $text;
        text-wrap: nowrap;
    }
    """
    ALLOW_SELECT = False

    def __init__(self) -> None:
        """Follow the bindings of the screen this stands on."""
        super().__init__("", markup=False)
        self._places: list[tuple[int, int, str]] = []

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._follow)
        self._follow(self.screen)

    def on_click(self, event: events.Click) -> None:
        for start, end, key in self._places:
            if start <= event.x - 1 < end:
                self.app.simulate_key(key)

    def _follow(self, screen: Screen[object]) -> None:
        if screen is not self.screen or not self.is_attached:
            return
        parts: list[Content] = []
        self._places = []
        at = 0
        for binding in _shown(screen):
            name = self.app.get_key_display(binding)
            part = Content.assemble((name, "bold $accent"), " ", plain(binding.description), "  ")
            self._places.append((at, at + part.cell_length - 2, binding.key))
            parts.append(part)
            at += part.cell_length
        content = Content("").join(parts).rstrip()
        if content != self.content:
            self.update(content, layout=False)


def _shown(screen: Screen[object]) -> list[Binding]:
    bindings = [
        active.binding
        for active in screen.active_bindings.values()
        if active.binding.show and active.enabled
    ]
    return sorted(bindings, key=_place)[:MOST_KEYS]


def _place(binding: Binding) -> tuple[int, int, str]:
    """Put the working keys first, then the function keys by number, then the others."""
    key = binding.key
    if key in ("enter", "space"):
        return (0, 0, key)
    if key.startswith("f") and key[1:].isdigit():
        return (1, int(key[1:]), key)
    return (2, 0, key)


def key_name(binding: Binding) -> str:
    """Return a key as it stands on a keyboard: `F2`, `Enter`, `Ctrl+Q`, `PgDn`."""
    if binding.key_display:
        return binding.key_display
    parts = binding.key.split("+")
    return "+".join(_KEY_NAMES.get(part, part.capitalize()) for part in parts)
