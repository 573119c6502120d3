"""Calculating inside a step: recomputed at each key; formula and source stand in the card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding

from commission.tui.job.calculation import result_lines
from commission.tui.job.fields import FieldsArea
from commission.tui.job.gate import DoneArea, Mark
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask
    from commission.job.state import JobState
    from commission.procedure.model import Calculate

_TAKE = "I have read the result; it is taken."


class ResultPanel(Plain):
    """The result as it stands; `compute` shows it again for other texts."""

    DEFAULT_CSS = """
    ResultPanel { height: auto; border-left: outer $accent; padding: 0 1; }
    """

    def __init__(self, step: Calculate, state: JobState) -> None:
        """Show the calculation of `step` with what `state` knows."""
        super().__init__()
        self._step = step
        self._state = state

    def compute(self, typed: Mapping[str, str]) -> None:
        """Show the result for what was typed."""
        lines = result_lines(self._step, self._state, typed)
        self.show("\n".join(f"→ {line}" for line in lines))


class CalculateArea(FieldsArea):
    """A calculation with inputs to type; its result is taken by a mark of its own."""

    BINDINGS = [
        Binding("enter", "take", "Take", id="job.take", show=False,
                tooltip="Take the result that is marked as read"),
    ]  # fmt: skip
    DEFAULT_CSS = """
    CalculateArea > Mark { display: none; }
    CalculateArea.-whole > Mark { display: block; }
    CalculateArea.-whole > Field { display: none; }
    """

    def __init__(self, asks: Sequence[Ask], taken: str, step: Calculate, state: JobState) -> None:
        """Ask for `asks`, the inputs that are not bound; `taken` the ask, if any, of the result."""
        super().__init__(asks)
        self.panel = ResultPanel(step, state)
        self.mark = Mark(_TAKE)
        self._taken = taken
        self._given: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        yield self.panel
        yield self._fields
        yield self._scale
        yield self.input
        yield self._echo
        yield self.mark
        yield self.refusal

    def on_mount(self) -> None:
        self.changed()

    def changed(self) -> None:
        self.panel.compute(
            {ask.name: self.understood(ask).text for ask in self.asks if ask.name in self.typed}
        )

    def give(self, given: dict[str, str]) -> None:
        self._given = given
        self.add_class("-whole")
        self._echo.show("Space marks it, then Enter takes it. Up: back to the inputs.")
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


class CalculatedArea(DoneArea):
    """A calculation whose inputs are all known: read the result and take it."""

    def __init__(self, taken: str, step: Calculate, state: JobState) -> None:
        """Show the result of `step`; `taken` is the ask of the result."""
        super().__init__(taken, _TAKE)
        self.panel = ResultPanel(step, state)

    def compose(self) -> ComposeResult:
        yield self.panel
        yield from super().compose()

    def on_mount(self) -> None:
        self.panel.compute({})
