"""A job to look at: its steps and what was answered, and nothing that can be changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission.job.route import progress, route
from commission.job.withheld import as_witness_sees
from commission.job.witnessing import KEPT, kept_from_witness
from commission.tui.job.frame import PRACTICE
from commission.tui.job.told import answer_words
from commission.tui.widgets import Choices, KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.job.route import RouteLine
    from commission.job.state import JobState


class Look(Screen[None]):
    """The job as its record stood when this was opened."""

    AUTO_FOCUS = "Choices"
    about = "A job to look at, as its record stood when this was opened. Nothing can be changed."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "app.back", "Back", id="look.back", tooltip="Back to the jobs"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Look {
        #standing { margin: 1 2 0 2; color: $text-muted; }
        #steps { height: 2fr; margin: 1 2 0 2; text-wrap: nowrap; text-overflow: ellipsis; }
        VerticalScroll { height: 1fr; margin: 0 2; padding: 0 1; border-top: solid $line; }
    }
    """

    def __init__(self, state: JobState) -> None:
        """Show `state`."""
        super().__init__()
        self._kept = kept_from_witness(state)
        self._state = state = as_witness_sees(state)
        self._lines: tuple[RouteLine, ...] = tuple(route(state))

    def compose(self) -> ComposeResult:
        state = self._state
        bike = state.opened.bike.get("frame", "") if state.opened else ""
        mark = f"{PRACTICE}, " if state.opened and state.opened.practice else ""
        yield TitleBar(f"{bike}   {state.plan.procedure.title}", f"{mark}READ ONLY")
        done, total = progress(state)
        stands = state.outcome or "open"
        yield Plain(f"{done} of {total} steps done, {stands}, {state.seq} entries", id="standing")
        yield Choices(*(Option(plain(_line(line))) for line in self._lines), id="steps")
        with VerticalScroll(can_focus=False):
            yield Plain(id="answer")
        yield KeyBar()

    @on(OptionList.OptionHighlighted)
    def show_answer(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        line = self._lines[event.option_index]
        step = self._state.steps.get(line.step)
        answer = answer_words(step.answer) if step and step.answer else "not answered"
        if line.step == self._kept:
            answer = f"answered, {KEPT}"
        reason = f"\n{line.reason}" if line.reason else ""
        self.query_one("#answer", Plain).show(f"{line.title}\n{answer}{reason}")


def _line(line: RouteLine) -> str:
    indent = "  " * line.indent
    return f" {line.sign} {line.word:<16} {indent}{line.number} {line.title}"
