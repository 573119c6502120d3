"""Repeated readings: what was given so far, its statistics and a plot, above the next run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.containers import Horizontal

from commission.procedure.model import Series
from commission.tui.job.fields import FieldsArea
from commission.tui.job.series_text import series_lines, series_plot, sweep_lines, sweep_plot
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask
    from commission.job.state import Parts
    from commission.procedure.model import Sweep

_PLOT_HEIGHT = 9
_SHOWN_SHORT, _SHOWN_TALL = 2, 8
_TALL = 20
_NARROWEST_PLOT = 28


class RunsArea(FieldsArea):
    """The next run or point of a series or a sweep."""

    KEPT = True
    DEFAULT_CSS = """
    RunsArea {
        & > .so-far { height: auto; }
        & > .fields { display: none; }
        & > .so-far > .numbers { width: auto; margin-right: 2; }
        & > .so-far > .plot { width: 1fr; color: $text-accent; }
    }
    """

    def __init__(self, asks: Sequence[Ask], step: Series | Sweep, parts: Parts) -> None:
        """Ask for the next piece of `step`, of which `parts` are given."""
        super().__init__(asks)
        self.step = step
        self.parts = parts
        self._numbers = Plain(classes="numbers")
        self._plot = Plain(classes="plot")

    def compose(self) -> ComposeResult:
        with Horizontal(classes="so-far"):
            yield self._numbers
            yield self._plot
        yield from super().compose()

    def on_mount(self) -> None:
        self._show_so_far()

    def ask_as(self, fresh: Any) -> None:  # noqa: ANN401  as `Area.ask_as`
        self.step, self.parts = fresh.step, fresh.parts
        super().ask_as(fresh)
        self._show_so_far()

    def on_resize(self) -> None:
        self._show_so_far()

    def changed(self) -> None:
        self._show_so_far()

    def _show_so_far(self) -> None:
        tall = self.screen.size.height > _TALL + _SHOWN_TALL
        shown = _SHOWN_TALL if tall else _SHOWN_SHORT
        lines = self._lines(shown)
        self._numbers.show("\n".join(lines))
        width = self.size.width - 6 - max(map(len, lines))
        drawn = self._drawn(width, _PLOT_HEIGHT if tall else _PLOT_HEIGHT - 2)
        self._plot.show("\n".join(drawn))

    def _lines(self, shown: int) -> list[str]:
        if isinstance(self.step, Series):
            return series_lines(self.step, self.parts, shown, self.typed)
        return sweep_lines(self.step, self.parts, shown, self.typed)

    def _drawn(self, width: int, height: int) -> list[str]:
        if width < _NARROWEST_PLOT:
            return []
        if not isinstance(self.step, Series):
            return sweep_plot(self.step, self.parts, width, height)
        column = next(one for one in self.step.columns if one.id == self.ask.name)
        return series_plot(column, self.parts, width, height)
