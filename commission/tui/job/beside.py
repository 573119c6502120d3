"""What stands beside a reading while it is typed: its instrument, and what like bikes read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from textual.containers import Vertical

from commission.errors import QuantityError
from commission.job.accuracy import range_of
from commission.job.like_bikes import place_words, words
from commission.quantities import parse_reading
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult

    from commission.job.ask import Ask
    from commission.job.instrument import Citable
    from commission.job.judge_limits import Shown
    from commission.job.like_bikes import LikeBikes
    from commission.procedure.model import Overdue


@dataclass(frozen=True, slots=True)
class Known:
    """What is known beside the readings of a card."""

    like: Mapping[str, LikeBikes] = field(default_factory=dict)
    """By ask."""
    shown: Mapping[str, Shown] = field(default_factory=dict)
    """How each ask's numbers are shown."""
    instrument: Citable | None = None
    rule: Overdue = "warn"
    """What the procedure says of an instrument that is not good."""
    others: bool = False
    """Whether another instrument can be taken."""


class Beside(Vertical):
    """Up to three lines under a field; it takes no room where nothing is known."""

    DEFAULT_CSS = """
    Beside {
        height: auto;
        & > Plain { height: auto; color: $text-muted; display: none; }
        & > .-said { display: block; }
    }
    """

    def __init__(self) -> None:
        """Begin without a word."""
        super().__init__()
        self.known = Known()
        self._instrument = Plain(classes="instrument")
        self._like = Plain(classes="like")
        self._place = Plain(classes="place")

    def compose(self) -> ComposeResult:
        yield self._instrument
        yield self._place
        yield self._like

    def show_for(self, ask: Ask, typed: str, value: float | None) -> None:
        """Show what is known beside `ask`, in which `typed` stands, understood as `value`."""
        text, is_bad = instrument_words(self.known, ask, typed)
        self._say(self._instrument, text, "bold $text-warning" if is_bad else "")
        like, shown = self.known.like.get(ask.name), self.known.shown.get(ask.name)
        if like is None or shown is None:
            self._say(self._like, "")
            self._say(self._place, "")
            return
        self._say(self._like, f"{words(like, shown)}.")
        said, is_far = ("", False) if value is None else place_words(like, value, shown)
        # A blank line keeps its place, so that nothing moves under the eyes while typing; where
        # there is no room, what is said first is seen.
        blank = "" if self.screen.has_class("-short") else " "
        self._say(self._place, said or blank, "bold $text-warning" if is_far else "")

    @staticmethod
    def _say(line: Plain, text: str, style: str = "") -> None:
        line.show(text, style or "$text-muted")
        line.set_class(bool(text), "-said")


def instrument_words(known: Known, ask: Ask, typed: str) -> tuple[str, bool]:
    """Return what a reading is taken with, in a line, and whether something speaks against it."""
    one = known.instrument
    if one is None or ask.type != "quantity":
        return "", False
    change = " · F8 another" if known.others else ""
    if not one.is_good:
        consequence = {
            "stop": "No readings are taken with it here.",
            "concession": "It takes a lead's leave.",
            "warn": "The record will say so.",
        }[known.rule]
        return f"{one.state.upper()}: {one} {one.why_not}. {consequence}{change}", True
    accuracy = _accuracy(one, ask, typed)
    if accuracy:
        return f"{one.id} ({one.serial}) {accuracy}{change}", False
    until = f", calibrated until {one.due}" if one.due else ""
    return f"With {one}{until}{change}", False


def _accuracy(one: Citable, ask: Ask, typed: str) -> str:
    """Return the accuracy on the range a typed reading was taken on; empty where none is known."""
    if not typed.strip():
        return ""
    try:
        reading = parse_reading(typed, ask.unit)
        used = range_of(one.ranges, reading)
    except QuantityError:
        return ""
    if used is None:
        return "no range of it holds this" if one.ranges else ""
    return f"±({used.accuracy}) to {used.ends}"
