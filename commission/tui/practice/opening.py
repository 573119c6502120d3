"""The ways to practice; light, so that it may be imported at any time."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    from commission.procedure.load import Loaded


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was asked for on the command line."""

    loaded: Loaded | None = None
    """The procedure; None is to be chosen."""
    fault: str | None = None
    """A fault's name or `random`; None is a sound bike where the job begins at once."""
    seed: int | None = None
    watch: bool = False
    """Whether the robot does it."""
    store: str | None = None

    @property
    def at_once(self) -> bool:
        """Whether the job begins without asking anything more."""
        return self.loaded is not None


def open_practice(app: App[Any]) -> None:
    """Show what can be practised."""
    from commission.tui.practice.choosing import ChoosePractice

    if not isinstance(app.screen, ChoosePractice):
        app.push_screen(ChoosePractice())


def ways(app: App[Any]) -> list[tuple[str, str, partial[None]]]:
    """Return title, detail and what to call."""
    detail = "A whole job on a virtual bike, sound or with a fault"
    return [("Practice", detail, partial(open_practice, app))]


def run(wanted: Wanted) -> int:
    """Show practice until it is left, then say what it came to; return the exit code."""
    from commission.tui.practice.alone import run_alone

    return run_alone(wanted)
