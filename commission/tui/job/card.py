"""The card of one step: cautions, instruction, what counts as good, and the place to answer.

The told part scrolls when it must; the area below always keeps its place, so keys never go to
something that is out of sight.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content

from commission.procedure.model import Calculate, CrossCheck
from commission.tui.job.area import Area
from commission.tui.job.told import Told, heading, told
from commission.tui.widgets import Plain, plain

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.job.ask import Asking
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.procedure.model import Caution

MORE_KEY = "F6"
_LEAST_TOLD = 4


class CautionBox(Vertical):
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

    def __init__(self, caution: Caution) -> None:
        """Show `caution`."""
        super().__init__(classes=f"-{caution.signal.lower()}")
        style = "$text-error" if caution.signal == "DANGER" else "$text-warning"
        self._head = Content.assemble(
            plain(f" {caution.signal} ", f"bold reverse {style}"),
            plain(f" {caution.hazard}", "bold"),
        )
        self._caution = caution

    def compose(self) -> ComposeResult:
        yield Plain(self._head)
        yield Plain(self._caution.consequence, classes="consequence")
        yield Plain(self._caution.avoidance, classes="avoidance")


class Paragraph(Horizontal):
    """A word in the margin and a text beside it."""

    DEFAULT_CSS = """
    Paragraph {
        height: auto;
        & > .word { width: 9; text-style: bold; }
        & > .text { width: 1fr; height: auto; }
    }
    """

    def __init__(self, paragraph: Told, classes: str | None = None) -> None:
        """Show `paragraph`."""
        super().__init__(classes=classes)
        self._told = paragraph

    def compose(self) -> ComposeResult:
        yield Plain(self._told.word, style=self._told.style, classes="word")
        yield Plain(self._told.text, style="bold" if self._told.bold else "", classes="text")


class StepCard(Vertical):
    """A step on the screen, with `area` for its answer."""

    DEFAULT_CSS = """
    StepCard {
        height: 1fr;
        & > #told { height: auto; padding: 0 2; scrollbar-size-vertical: 1; }
        &.-table > #told { max-height: 40%; }
        & .heading { color: $text-muted; text-wrap: nowrap; text-overflow: ellipsis; }
        & .title { text-style: bold; margin: 0 0 1 0; }
        & .why { display: none; }
        &.-more .why { display: block; }
        &.-read .consequence { display: none; }
        &.-read.-more .consequence { display: block; }
    }
    """

    def __init__(
        self, state: JobState, planned: PlannedStep, asking: Asking | None, area: Area,
        *, gated: bool = False,
    ) -> None:  # fmt: skip
        """Show `planned` as it stands in `state`; `gated` while its cautions are to be read."""
        super().__init__()
        self.planned = planned
        self.asking = asking
        self.area = area
        self._state = state
        self.set_class(not gated, "-read")
        self.set_class(asking is not None and asking.some, "-table")

    def compose(self) -> ComposeResult:
        step = self.planned.step
        with VerticalScroll(id="told", can_focus=False):
            more = f" · {MORE_KEY} why" if step.why else ""
            yield Plain(
                f"{heading(self._state, self.planned, self.asking)}{more}", classes="heading"
            )
            for caution in step.cautions:
                yield CautionBox(caution)
            yield Plain(step.title, classes="title")
            for paragraph in told(self._state, self.planned, self.asking):
                yield Paragraph(paragraph)
            for paragraph in self._computed():
                yield Paragraph(paragraph)
            if step.why:
                yield Paragraph(Told("Why", step.why), classes="why")
        yield self.area

    def _computed(self) -> list[Told]:
        """What stands behind a calculation or cross-checks; importing them costs nothing else."""
        if isinstance(self.planned.step, CrossCheck):
            from commission.tui.job.found import told_of as findings_of

            return findings_of(self.planned.step, self._state)
        if not isinstance(self.planned.step, Calculate):
            return []
        from commission.tui.job.calculation import told_of

        return told_of(self.planned.step, self._state)

    def tell(self, paragraph: Told) -> None:
        """Show a paragraph found out beside the step, in the place of the last such one."""
        told = self.query_one("#told", VerticalScroll)
        for old in told.query(".-beside"):
            old.remove()
        told.mount(
            Paragraph(paragraph, classes="-beside"),
            before=".why" if self.planned.step.why else None,
        )

    def on_resize(self) -> None:
        self.fit()

    @on(Area.Resized)
    def fit_to_area(self, event: Area.Resized) -> None:
        event.stop()
        self.fit()

    def fit(self) -> None:
        """Let the told part have what the area leaves, and scroll in it."""
        if not self.has_class("-table") and self.is_mounted:
            left = self.size.height - self.area.outer_size.height - self.area.styles.margin.height
            self.query_one("#told").styles.max_height = max(_LEAST_TOLD, left)

    def toggle_more(self) -> None:
        """Show or hide why the step is done, and its cautions in full."""
        self.toggle_class("-more")

    def scroll_told(self, pages: int) -> None:
        """Scroll the told part by pages; the focus stays where it is."""
        scroll = self.query_one("#told", VerticalScroll)
        (scroll.scroll_page_down if pages > 0 else scroll.scroll_page_up)(animate=False)
