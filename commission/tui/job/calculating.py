"""Calculating inside a step: recomputed at each key; formula and source stand in the card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.tui.job.calculation import result_lines
from commission.tui.job.gate import DoneArea
from commission.tui.job.taken import TakenArea
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


class CalculateArea(TakenArea):
    """A calculation with inputs to type; its result is taken by a mark of its own."""

    def __init__(self, asks: Sequence[Ask], taken: str, step: Calculate, state: JobState) -> None:
        """Ask for `asks`, the inputs that are not bound; `taken` the ask, if any, of the result."""
        super().__init__(asks, taken, _TAKE)
        self.panel = ResultPanel(step, state)

    def compose(self) -> ComposeResult:
        yield self.panel
        yield from super().compose()

    def on_mount(self) -> None:
        self.changed()

    def changed(self) -> None:
        self.panel.compute(
            {ask.name: self.understood(ask).text for ask in self.asks if ask.name in self.typed}
        )


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
