"""What is shown while the window is too small to show a step in full."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from textual.screen import ModalScreen

from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.geometry import Size

LEAST_WIDTH: Final = 60
LEAST_HEIGHT: Final = 18


def too_small(size: Size) -> bool:
    """Return whether a screen would not fit into a window of this size."""
    return size.width < LEAST_WIDTH or size.height < LEAST_HEIGHT


class TooSmall(ModalScreen[None]):
    """Covers the screen below, which keeps its state and takes no key meanwhile."""

    DEFAULT_CSS = """
    TooSmall {
        background: $background;
        align: center middle;
        Plain { width: 100%; text-align: center; }
    }
    """

    def compose(self) -> ComposeResult:
        yield Plain(
            f"Window too small\n{LEAST_WIDTH}x{LEAST_HEIGHT} or more is needed.\n"
            "Nothing is lost: make it larger."
        )
