"""An area with nothing to type: a sentence, and Enter to go on with what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from commission.tui.job.area import Area
from commission.tui.widgets import plain

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.content import Content


class Invitation(Widget, can_focus=True):
    """A sentence that has the focus."""

    DEFAULT_CSS = """
    Invitation {
        height: auto;
        border: round $border-blurred;
        padding: 0 1;
        &:focus { border: round $border; }
    }
    """

    def __init__(self, text: str) -> None:
        """Show `text`."""
        super().__init__()
        self.text = text

    def render(self) -> Content:
        return plain(self.text)

    def say(self, text: str) -> None:
        """Show another sentence."""
        self.text = text
        self.refresh(layout=True)


class PromptArea(Area):
    """What Enter leads to is harmless by itself: a dialog, or the way back."""

    KEPT = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", "Go on", id="job.go_on", show=False,
                tooltip="Go on with what the card says"),
    ]  # fmt: skip

    def __init__(self, gate: str, text: str) -> None:
        """Post `Confirmed` with `gate` at Enter; `text` says what that leads to."""
        super().__init__()
        self.gate = gate
        self.invitation = Invitation(text)

    def compose(self) -> ComposeResult:
        yield self.invitation
        yield self.refusal

    def ask_as(self, fresh: PromptArea) -> None:
        self.gate = fresh.gate
        self.invitation.say(fresh.invitation.text)
        self.refuse("")

    def focus_entry(self) -> None:
        self.invitation.focus()

    def action_go_on(self) -> None:
        self.post_message(self.Confirmed(self.gate))
