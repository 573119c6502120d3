"""After practice: what was wrong, at which step it could be seen, what was caught and missed."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual import on, work
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.screen import Screen

from commission.tui.job.frame import PRACTICE
from commission.tui.widgets import KeyBar, Plain, TitleBar, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from commission.job.entry import Entry
    from commission.job.state import JobState
    from commission.practice.panel.world import World
    from commission.practice.review import Review

_MOST: Final = 88
_MARGINS: Final = 6


class ReviewScreen(Screen[None]):
    """Says what a practice job came to."""

    AUTO_FOCUS = "VerticalScroll"
    about = (
        "What was wrong with the virtual bike, at which step an honest look shows it, and what you"
        " did there. The record of the job is kept among the practice jobs."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "app.back", "Done", id="review.back", tooltip="Leave the review"),
        Binding("enter,escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    ReviewScreen {
        VerticalScroll { height: 1fr; padding: 1 2; scrollbar-size-vertical: 1; }
        #told { height: auto; }
    }
    """

    @dataclass
    class Told(Message):
        """It was found out."""

        review: Review

    def __init__(
        self,
        world: World,
        state: JobState,
        entries: tuple[Entry, ...],
        stopped_at: str = "",
        who: str = "You",
    ) -> None:
        """Look back on the job of `state` and `entries`; see `review` for the rest."""
        super().__init__()
        self._world, self._state, self._entries = world, state, entries
        self._stopped_at, self._who = stopped_at, who
        self._review: Review | None = None

    def compose(self) -> ComposeResult:
        job = self._state.opened.job if self._state.opened else ""
        yield TitleBar(f"Review of {job}   {self._state.plan.procedure.title}", PRACTICE)
        with VerticalScroll():
            yield Plain("Doing the same job honestly, to compare …", id="told")
        yield KeyBar()

    def on_mount(self) -> None:
        self._look_back()

    @work(thread=True, exclusive=True, group="review")
    def _look_back(self) -> None:
        from commission.practice.review import failed_in, review

        world, failed = self._world, failed_in(self._entries)
        told = review(
            world.bike, world.prepared, self._state, failed, self._stopped_at, who=self._who
        )
        self.post_message(self.Told(told))

    @on(Told)
    def show_review(self, message: Told) -> None:
        kept = getattr(self.app, "reviews", None)  # the practice app prints them when it ends
        if kept is not None:
            kept.append(message.review)
        self._review = message.review
        self.on_resize()

    def on_resize(self) -> None:
        if self._review is not None:
            width = min(_MOST, self.size.width - _MARGINS)
            told = Content("\n").join(_told(self._review, width))
            self.query_one("#told", Plain).show(told)


def _told(review: Review, width: int) -> Iterator[Content]:
    yield plain(f" {review.verdict} ", "bold reverse")
    yield from _wrapped(review.summary, width, "bold")
    for part in review.paragraphs:
        yield Content("")
        yield plain(part.heading, "bold underline")
        for line in part.lines:
            yield from _wrapped(f"- {line}", width)


def _wrapped(text: str, width: int, style: str = "") -> Iterator[Content]:
    for line in textwrap.wrap(text, width, subsequent_indent="  " if text[0] == "-" else ""):
        yield plain(line, style)
