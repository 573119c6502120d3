"""The ways to the fault trials; light, so that it may be imported at any time."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    from commission.practice.matrix import Matrix


def open_trials(app: App[Any]) -> None:
    """Show the procedures that can be tried."""
    from commission.tui.trials.choosing import ChooseTrial

    if not isinstance(app.screen, ChooseTrial):
        app.push_screen(ChooseTrial())


def ways(app: App[Any]) -> list[tuple[str, str, partial[None]]]:
    """Return title, detail and what to call."""
    detail = "Which faults a procedure catches, tried on virtual bikes"
    return [("Fault trials", detail, partial(open_trials, app))]


def run(matrix: Matrix) -> int:
    """Show the result of trials until it is left; return the exit code of the screen."""
    from commission.tui.trials.alone import TrialsApp

    app = TrialsApp(matrix)
    app.run()
    return app.return_code or 0
