"""Beside or below a form: what stands behind the result, and the plot."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from textual.containers import Vertical, VerticalScroll

from commission.calculators.picture import has_picture, pictures
from commission.calculators.unit_choices import label
from commission.quantities import unit
from commission.tui.calculated import paragraphs
from commission.tui.calculators import notes
from commission.tui.job.card import Paragraph
from commission.tui.job.told import Told
from commission.tui.plot import LEAST_HEIGHT, LEAST_WIDTH, Curve, plot_curves, sign_of
from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.calculators.base import Calculator
    from commission.calculators.outcome import Outcome
    from commission.calculators.picture import Picture, Trace
    from commission.calculators.worksheet import Worksheet

NO_ROOM: Final = "This window is too small for the plot."
_LEGEND_FROM: Final = 6
NO_PLOT: Final = "No plot yet: it follows the values above."


class Pane(Vertical):
    """The text behind the result and the plot; one of them, or in a wide window both."""

    DEFAULT_CSS = """
    Pane {
        height: 1fr;
        border-top: solid $line;
        border-title-color: $foreground;
        border-title-style: bold;
        padding: 0 1;
        & > #plot { height: 1fr; display: none; }
        & > #behind { height: 1fr; scrollbar-size-vertical: 1; }
        & > #plot { padding: 0 1; }
    }
    Pane.-plot {
        #plot { display: block; }
        #behind { display: none; }
    }
    """

    def __init__(self, calculator: Calculator) -> None:
        """Show what stands behind `calculator`."""
        super().__init__()
        self._calculator = calculator
        self._plot = Plain(id="plot")
        self.set_class(has_picture(calculator), "-plotted")
        self._at = 0
        self._last: tuple[Worksheet, Outcome] | None = None

    def compose(self) -> ComposeResult:
        yield self._plot
        with VerticalScroll(id="behind", can_focus=False):
            for word, text in paragraphs(self._calculator):
                yield Paragraph(Told(word, text))

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    def follow(self, sheet: Worksheet, result: Outcome) -> None:
        """Draw the plot for these values where it is on the screen."""
        self._last = (sheet, result)
        self._draw()

    def turn(self) -> None:
        """Show the plot; where it is shown already, the next one."""
        if self._plot.display:
            self._at += 1
        self.add_class("-plot")
        self.call_after_refresh(self._draw)

    def show_behind(self) -> None:
        """Show the text behind the result."""
        self.remove_class("-plot")

    def scroll(self, pages: int) -> None:
        """Scroll the text by pages."""
        behind = self.query_one("#behind", VerticalScroll)
        (behind.scroll_page_down if pages > 0 else behind.scroll_page_up)(animate=False)

    def _glance(self) -> None:
        """Say the result on the line above, where the rows of results may be out of sight."""
        if self._last is None:
            return
        cut = self.screen.query_one("#sheet").max_scroll_y > 0
        said = plain(notes.at_a_glance(*self._last)) if cut else None
        if self.border_title != said:
            self.border_title = said

    def _draw(self) -> None:
        self._glance()
        size = self._plot.size
        if self._last is None or not size.width:
            return
        sheet, result = self._last
        width, height = size
        if width < LEAST_WIDTH or height < LEAST_HEIGHT:
            self._plot.show(NO_ROOM)
            return
        drawn = plot_lines(sheet, result, self._at, width, height)
        self._plot.show("\n".join(drawn) if drawn else NO_PLOT)


def plot_lines(sheet: Worksheet, result: Outcome, at: int, width: int, height: int) -> list[str]:
    """Return the plot at the place `at` among all there are, in the units of the fields."""
    every = pictures(sheet.calculator, result.inputs, result.answers)
    if not every:
        return []
    picture = every[at % len(every)]
    x_unit, y_unit = _units(sheet, picture)
    curves = [_curve(trace, picture, x_unit, y_unit) for trace in picture.traces]
    x_label = f"{picture.x_label} {label(x_unit)}".strip()
    y_label = f"{picture.y_label} {label(y_unit)}".strip()
    has_legend = height > _LEGEND_FROM
    lines = plot_curves(curves, width, height - has_legend, (x_label, y_label))
    return (
        [_legend(picture, at % len(every), len(every)), *lines][not has_legend :] if lines else []
    )


def _units(sheet: Worksheet, picture: Picture) -> tuple[str, str]:
    """Return the units of both axes: those of the fields, where the axes are fields."""
    if picture.turned:
        return sheet.units[picture.output], sheet.entries[picture.over].unit
    x = sheet.entries[picture.over].unit if picture.over else picture.x_unit
    return x, sheet.units[picture.output] if picture.output else picture.y_unit


def _curve(trace: Trace, picture: Picture, x_unit: str, y_unit: str) -> Curve:
    x, y = unit(x_unit), unit(y_unit)
    points = tuple((x.from_si(one), y.from_si(other)) for one, other in trace.points)
    here = trace.present
    present = None if here is None else (x.from_si(here[0]), y.from_si(here[1]))
    return Curve(points, present, is_whole=picture.turned)


def _legend(picture: Picture, at: int, count: int) -> str:
    parts = [f"{sign_of(place)} {trace.label}" for place, trace in enumerate(picture.traces)]
    if any(trace.present for trace in picture.traces):
        parts.append("● now")
    if count > 1:
        parts.append(f"{at + 1}/{count}, F5 next")
    return "   ".join(parts)
