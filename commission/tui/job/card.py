"""The card of one step: cautions, instruction, what counts as good, and the place to answer.

The told part scrolls when it must; the area below always keeps its place, so keys never go to
something that is out of sight.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from commission.tui.job.told import Told, heading, told
from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.job.ask import Asking
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.procedure.model import Caution
    from commission.tui.job.area import Area

_WORD_WIDTH = 9
_WHY_KEY = "F6"


class CautionBox(Static):
    """One caution: signal word, hazard, consequence and avoidance, each in words."""

    DEFAULT_CSS = """
    CautionBox {
        height: auto;
        margin-bottom: 1;
        padding: 0 1;
        border-left: outer $warning;
        background: $panel;
        &.-danger { border-left: outer $error; }
        &.-notice { border-left: outer $accent; }
    }
    """

    def __init__(self, caution: Caution, *, brief: bool = False) -> None:
        """Show `caution`; `brief` leaves out the consequence, for one that was acknowledged."""
        style = "$text-error" if caution.signal == "DANGER" else "$text-warning"
        parts = [
            plain(f" {caution.signal} ", f"bold reverse {style}"),
            plain(f" {caution.hazard}", "bold"),
        ]
        rest = (caution.avoidance,) if brief else (caution.consequence, caution.avoidance)
        parts.append(plain("".join(f"\n{line}" for line in rest), lines=True))
        super().__init__(
            Content("").join(parts), classes=f"-{caution.signal.lower()}", markup=False
        )


class Paragraph(Static):
    """A word in the margin and a text beside it."""

    DEFAULT_CSS = """
    Paragraph {
        layout: horizontal;
        height: auto;
        & > .word { width: 9; text-style: bold; }
        & > .text { width: 1fr; height: auto; }
    }
    """

    def __init__(self, paragraph: Told) -> None:
        """Show `paragraph`."""
        super().__init__(markup=False)
        self._told = paragraph

    def compose(self) -> ComposeResult:
        yield Plain(self._told.word, style=self._told.style, classes="word")
        yield Plain(self._told.text, style="bold" if self._told.bold else "", classes="text")


class StepCard(Vertical):
    """A step on the screen, with `area` for its answer."""

    DEFAULT_CSS = """
    StepCard {
        height: 1fr;
        & > #told { height: auto; max-height: 60%; padding: 0 2; scrollbar-size-vertical: 1; }
        & > #told.-alone { max-height: 100%; height: 1fr; }
        & .heading { color: $text-muted; }
        & .title { text-style: bold; margin: 0 0 1 0; }
        & .why { display: none; }
        &.-why .why { display: block; }
        &.-why .why-key { display: none; }
        & .why-key { color: $text-muted; }
    }
    """

    def __init__(
        self, state: JobState, planned: PlannedStep, asking: Asking | None, area: Area,
        *, gated: bool = False, id: str | None = None,
    ) -> None:  # fmt: skip
        """Show `planned` as it stands in `state`; `gated` while its cautions are to be read."""
        super().__init__(id=id)
        self.planned = planned
        self.asking = asking
        self.area = area
        self._state = state
        self._gated = gated

    def compose(self) -> ComposeResult:
        step = self.planned.step
        with VerticalScroll(id="told", can_focus=False):
            yield Plain(heading(self._state, self.planned), classes="heading")
            for caution in step.cautions:
                yield CautionBox(caution, brief=not self._gated)
            yield Plain(step.title, classes="title")
            for paragraph in told(self._state, self.planned, self.asking):
                yield Paragraph(paragraph)
            if step.why:
                why = Paragraph(Told("Why", step.why))
                why.add_class("why")
                yield why
                yield Plain(
                    f"{'':{_WORD_WIDTH}}{_WHY_KEY} shows why this is done.", classes="why-key"
                )
        yield self.area

    def toggle_why(self) -> None:
        """Show or hide why the step is done."""
        self.toggle_class("-why")

    def scroll_told(self, pages: int) -> None:
        """Scroll the told part by pages; the focus stays where it is."""
        scroll = self.query_one("#told", VerticalScroll)
        (scroll.scroll_page_down if pages > 0 else scroll.scroll_page_up)(animate=False)
