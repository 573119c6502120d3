"""Practice by itself, for `commission practice`: no bench of the workshop is opened."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from commission.safe_text import safe_text
from commission.tui.app import CommissionApp, show

if TYPE_CHECKING:
    from textual.screen import Screen

    from commission.practice.review import Review
    from commission.tui.practice.opening import Wanted


class PracticeApp(CommissionApp):
    """Begins at the choice of a practice job, or in the job that was asked for."""

    def __init__(self, wanted: Wanted) -> None:
        """Offer or begin what is `wanted`."""
        super().__init__()
        self._wanted = wanted
        self.reviews: list[Review] = []
        """What each job came to, for the terminal's own lines when the screens are gone."""

    def get_default_screen(self) -> Screen[None]:
        from commission.tui.practice.choosing import ChoosePractice

        return ChoosePractice(self._wanted)


def run_alone(wanted: Wanted) -> int:
    """Show practice until it is left, then say what it came to; return `show`'s exit code."""
    app = PracticeApp(wanted)
    code = show(app)
    _say(app.reviews)
    return code


def _say(reviews: list[Review]) -> None:
    if not reviews:
        return
    from commission.practice.review import lines

    try:
        for review in reviews:
            print("PRACTICE")  # noqa: T201
            for line in lines(review):
                print(safe_text(line))  # noqa: T201  it stays on the terminal
            print()  # noqa: T201
    except OSError:
        # The terminal went away with the screens.
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
