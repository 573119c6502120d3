"""The route: every step with a sign and a word for how it stands, under its stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from textual import on
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission.job.route import route
from commission.tui.widgets import Choices, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.content import Content

    from commission.job.route import RouteLine
    from commission.job.state import JobState

_SHORT: Final = {
    "waiting for hold": "hold", "not applicable": "n/a", "not needed yet": "spare",
}  # fmt: skip
_WIDTH: Final = 37
"""Characters of a line, inside border, padding and scrollbar."""
_HEADING: Final = "stage:"


class RoutePanel(Vertical):
    """The steps to choose from; posts the one chosen."""

    DEFAULT_CSS = """
    RoutePanel {
        width: 42;
        height: 1fr;
        border-right: vkey $line;
        Choices, Choices:focus { height: 1fr; padding: 0 1; }
    }
    """

    @dataclass
    class StepChosen(Message):
        """A person chose a step to look at."""

        step: str

    def __init__(self, id: str | None = None) -> None:
        """Start empty; `show` fills it."""
        super().__init__(id=id)
        self.list = Choices()
        self._lines: tuple[RouteLine, ...] = ()
        self._places: dict[str, int] = {}
        self._open = ""

    def compose(self) -> ComposeResult:
        yield self.list

    def show(self, state: JobState, viewed: str) -> None:
        """Show how the steps stand, with the bar on `viewed`; only what changed is redrawn."""
        lines = tuple(route(state))
        at_open = next((line.step for line in lines if line.is_open), "")
        if tuple(line.step for line in lines) != tuple(line.step for line in self._lines):
            self._fill(lines, at_open)
        else:
            self._change(lines, at_open)
        self._lines, self._open = lines, at_open
        if viewed in self._places:
            self.list.highlighted = self._places[viewed]
            self.call_after_refresh(self._keep_in_sight)

    def _keep_in_sight(self) -> None:
        """Show what comes next, too: the highlighted step stands in the upper part."""
        at = self.list.highlighted
        if at is not None and not self.list.has_focus:
            self.list.scroll_to(y=max(0, at - self.list.size.height // 3), animate=False)

    def focus_list(self) -> None:
        """Let the arrows move the bar."""
        self.list.focus()

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id and not event.option_id.startswith(_HEADING):
            self.post_message(self.StepChosen(event.option_id))

    def _fill(self, lines: Sequence[RouteLine], at_open: str) -> None:
        options: list[Option] = []
        self._places = {}
        stage = ""
        for line in lines:
            if line.stage != stage:
                stage = line.stage
                heading = plain(f" {stage}", "bold underline")
                options.append(Option(heading, id=f"{_HEADING}{len(options)}", disabled=True))
            self._places[line.step] = len(options)
            options.append(Option(self._line(line, at_open), id=line.step))
        self.list.set_options(options)

    def _change(self, lines: Sequence[RouteLine], at_open: str) -> None:
        for old, new in zip(self._lines, lines, strict=True):
            if old != new or new.step in (at_open, self._open):
                self.list.replace_option_prompt(new.step, self._line(new, at_open))

    def _line(self, line: RouteLine, at_open: str) -> Content:
        is_open = line.step == at_open
        word = "now" if is_open and line.word == "to do" else _SHORT.get(line.word, line.word)
        indent = "  " * line.indent
        start = f"{indent}{line.sign} {line.number} "
        room = _WIDTH - len(start) - len(word) - 1
        title = line.title
        if len(title) > room:
            title = f"{title[: room - 1].rstrip()}…"
        text = f"{start}{title:<{room}} {word}"
        return plain(text, "bold" if is_open else "")
