"""Cards that are about the job and not about one step: what to read again, and how it ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical, VerticalScroll

from commission.job import moves
from commission.job.witnessing import KEPT, kept_from_witness
from commission.tui.job.told import answer_words
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from commission.job.entry import Digest
    from commission.job.state import JobState
    from commission.tui.job.area import Area


class PlainCard(Vertical):
    """A title and paragraphs above an area."""

    DEFAULT_CSS = """
    PlainCard {
        height: 1fr;
        & > VerticalScroll { height: auto; max-height: 70%; padding: 0 2;
            scrollbar-size-vertical: 1; }
        & .title { text-style: bold; margin-bottom: 1; }
        & .paragraph { margin-bottom: 1; }
    }
    """

    def __init__(self, title: str, area: Area) -> None:
        """Show `title`."""
        super().__init__()
        self._title = title
        self.area = area

    def compose(self) -> ComposeResult:
        with VerticalScroll(can_focus=False):
            yield Plain(self._title, classes="title")
            for paragraph in self.paragraphs():
                yield Plain(paragraph, classes="paragraph")
        yield self.area

    def paragraphs(self) -> Iterator[str]:
        """Yield what the card says."""
        raise NotImplementedError


class RereadCard(PlainCard):
    """The last steps once more, before work goes on after it was left."""

    def __init__(self, state: JobState, area: Area) -> None:
        """Show the steps that `state` wants read again."""
        super().__init__("You left here. The last steps are shown again.", area)
        self._state = state

    def paragraphs(self) -> Iterator[str]:
        """Yield each step with its answer, then what is next."""
        kept = kept_from_witness(self._state)
        for step in self._state.reread:
            planned = self._state.plan.planned(step)
            answer = self._state.steps[step].answer
            said = "not answered" if answer is None else answer_words(answer)
            if step == kept:
                said = f"{KEPT[0].upper()}{KEPT[1:]}."
            yield f"{planned.stage_title}: {planned.step.title}\n{said}"
        due = moves.open_step(self._state)
        if due is not None:
            yield f"Next: {due.step.title}"


class EndedCard(PlainCard):
    """A job in which there is nothing more to do, or that has ended."""

    def __init__(self, state: JobState, head: Digest, area: Area) -> None:
        """Show how the job stands."""
        title = f"The job is {state.outcome}." if state.outcome else "Every step is settled."
        super().__init__(title, area)
        self._state = state
        self._head = head

    def paragraphs(self) -> Iterator[str]:
        """Yield what is left to do, and how anyone can check the record."""
        yield moves.suggest(self._state)
        if self._state.opened is not None:
            job = self._state.opened.job
            yield f"{self._state.seq} entries, head of the record:\n{self._head}"
            yield f"commission verify {job}   checks it\ncommission export {job}   copies it"
