"""Answers that are typed and then taken as a whole by a mark of its own: Space, then Enter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding

from commission.tui.job.fields import FieldsArea
from commission.tui.job.gate import Mark

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask


class TakenArea(FieldsArea):
    """Fields to type; what they lead to is taken by a mark of its own."""

    BINDINGS = [
        Binding("enter", "take", "Take", id="job.take", show=False,
                tooltip="Take what is marked as read"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    TakenArea > Mark { display: none; }
    TakenArea.-whole > Mark { display: block; }
    TakenArea.-whole > Field { display: none; }
    """

    def __init__(self, asks: Sequence[Ask], taken: str, sentence: str) -> None:
        """Ask for `asks`; `taken` is the ask, if any, that the mark beside `sentence` answers."""
        super().__init__(asks)
        self.mark = Mark(sentence)
        self._taken = taken
        self._given: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        yield self._fields
        yield self._scale
        yield self.input
        yield self._echo
        yield self.beside
        yield self.mark
        yield self.refusal

    def give(self, given: dict[str, str]) -> None:
        self._given = given
        self.add_class("-whole")
        self._echo.show("Space marks it, then Enter takes it. Up: back to the fields.")
        self.mark.focus()

    def action_back(self) -> None:
        if self.has_class("-whole"):
            self.remove_class("-whole")
            self.input.focus()
        super().action_back()

    def action_take(self) -> None:
        if self.has_class("-whole"):
            if self.mark.marked:
                taken = {self._taken: "done"} if self._taken else {}
                self.post_message(self.Given({**self._given, **taken}))
            else:
                self.refuse("press Space first to mark it, then Enter.")
