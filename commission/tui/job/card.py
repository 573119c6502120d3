"""The card of one step: cautions, instruction, what counts as good, and the place to answer.

The told part scrolls when it must; the area below always keeps its place, so keys never go to
something that is out of sight.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, get_args

from textual import on
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content

from commission.procedure.model import Calculate, CrossCheck, Signal
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
_SIGNALS: Final[tuple[str, ...]] = get_args(Signal)
_LEAST_TOLD = 4
_ROOMY: Final = frozenset({"confirm", "observe", "choose", "measure", "dwell"})
"""Kinds whose cards have room for how to avoid a hazard while it is there, in 24 lines as well."""


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
        super().__init__()
        self._head = Plain()
        self._consequence = Plain(classes="consequence")
        self._avoidance = Plain(classes="avoidance")
        self.renew(caution)

    def compose(self) -> ComposeResult:
        yield self._head
        yield self._consequence
        yield self._avoidance

    def renew(self, caution: Caution) -> None:
        """Show `caution` from now on."""
        style = "$text-error" if caution.signal == "DANGER" else "$text-warning"
        signal = plain(f" {caution.signal} ", f"bold reverse {style}")
        self._head.show(Content.assemble(signal, plain(f" {caution.hazard}", "bold")))
        self._consequence.show(caution.consequence)
        self._avoidance.show(caution.avoidance)
        for one in _SIGNALS:
            self.set_class(one == caution.signal, f"-{one.lower()}")


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
        self._word = Plain(classes="word")
        self._text = Plain(classes="text")
        self.renew(paragraph)

    def compose(self) -> ComposeResult:
        yield self._word
        yield self._text

    def renew(self, paragraph: Told) -> None:
        """Show `paragraph` from now on."""
        self._word.show(paragraph.word, paragraph.style)
        self._text.show(paragraph.text, "bold" if paragraph.bold else "")


class StepCard(Vertical):
    """A step on the screen, with `area` for its answer.

    The next step is shown in the same widgets: mounting others takes longer than a key should.
    What one step has no use for is hidden, not removed.
    """

    DEFAULT_CSS = """
    StepCard {
        height: 1fr;
        & > #told { height: auto; padding: 0 2; scrollbar-size-vertical: 1; }
        &.-table > #told { max-height: 40%; }
        & .heading { color: $text-muted; text-wrap: nowrap; text-overflow: ellipsis; }
        & .title { text-style: bold; margin: 0 0 1 0; }
        & .why { display: none; }
        &.-more .why.-given { display: block; }
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
        self._heading = Plain(classes="heading")
        self._title = Plain(classes="title")
        self._cautions: list[CautionBox] = []
        self._paragraphs: list[Paragraph] = []
        self._beside = Paragraph(Told("", ""), classes="-beside")
        self._why = Paragraph(Told("Why", ""), classes="why")
        self._told = VerticalScroll(id="told", can_focus=False)
        self.area = area
        self._spare: list[Area] = []
        self._set(state, planned, asking, gated=gated)
        self._cautions = [CautionBox(caution) for caution in planned.step.cautions]
        self._paragraphs = [Paragraph(paragraph) for paragraph in self._all_told()]

    def compose(self) -> ComposeResult:
        with self._told:
            yield self._heading
            yield from self._cautions
            yield self._title
            yield from self._paragraphs
            yield self._beside
            yield self._why
        yield self.area

    async def renew(
        self, state: JobState, planned: PlannedStep, asking: Asking | None, area: Area,
        *, gated: bool = False,
    ) -> None:  # fmt: skip
        """Show another step, or this one as it stands now, with what `area` asks."""
        # No paint in between: what stands above belongs to what is asked below.
        with self.app.batch_update():
            self._set(state, planned, asking, gated=gated)
            await self._renew_cautions()
            await self._renew_paragraphs()
            await self._renew_area(area)
        self._told.scroll_home(animate=False)

    def _set(
        self, state: JobState, planned: PlannedStep, asking: Asking | None, *, gated: bool
    ) -> None:
        self.planned = planned
        self.asking = asking
        self._state = state
        step = planned.step
        more = f" · {MORE_KEY} why" if step.why else ""
        self._heading.show(f"{heading(state, planned, asking)}{more}")
        self._title.show(step.title)
        self._why.renew(Told("Why", step.why or ""))
        self._why.set_class(bool(step.why), "-given")
        self._beside.display = False
        self.set_class(not gated, "-read")
        self.set_class(planned.kind not in _ROOMY, "-crowded")
        self.remove_class("-more")
        self.set_class(asking is not None and asking.some, "-table")

    async def _renew_area(self, fresh: Area) -> None:
        if self.area.renew(fresh):
            return
        before = self.area
        kept = next((one for one in self._spare if one.renew(fresh)), None)
        if before.is_kept():
            before.display = False
            self._spare.append(before)
        else:
            await before.remove()
        if kept is None:
            self.area = fresh
            await self.mount(fresh)
        else:
            self._spare.remove(kept)
            kept.display = True
            self.area = kept

    async def _renew_cautions(self) -> None:
        given, boxes = self.planned.step.cautions, self._cautions
        for box, caution in zip(boxes, given, strict=False):
            box.renew(caution)
        for at, box in enumerate(boxes):
            box.display = at < len(given)
        more = [CautionBox(caution) for caution in given[len(boxes) :]]
        if more:
            await self._told.mount_all(more, before=self._title)
            boxes += more

    async def _renew_paragraphs(self) -> None:
        given, boxes = self._all_told(), self._paragraphs
        for box, paragraph in zip(boxes, given, strict=False):
            box.renew(paragraph)
        for at, box in enumerate(boxes):
            box.display = at < len(given)
        more = [Paragraph(paragraph) for paragraph in given[len(boxes) :]]
        if more:
            await self._told.mount_all(more, before=self._beside)
            boxes += more

    def _all_told(self) -> list[Told]:
        return [*told(self._state, self.planned, self.asking), *self._computed()]

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
        self._beside.renew(paragraph)
        self._beside.display = True

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
            self._told.styles.max_height = max(_LEAST_TOLD, left)

    def toggle_more(self) -> None:
        """Show or hide why the step is done, and its cautions in full."""
        self.toggle_class("-more")

    def scroll_told(self, pages: int) -> None:
        """Scroll the told part by pages; the focus stays where it is."""
        scroll = self._told
        (scroll.scroll_page_down if pages > 0 else scroll.scroll_page_up)(animate=False)
