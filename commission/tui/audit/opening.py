"""The ways to the audits; light, so that it may be imported at any time."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App


def open_audits(app: App[Any]) -> None:
    """Show the kept audits, and the way to a new one."""
    from commission.tui.audit.kept import Audits

    if not isinstance(app.screen, Audits):
        app.push_screen(Audits())


def open_overviews(app: App[Any]) -> None:
    """Show what the jobs of the bench show together."""
    from commission.tui.audit.overviews import Overviews

    if not isinstance(app.screen, Overviews):
        app.push_screen(Overviews())


def ways(app: App[Any]) -> list[tuple[str, str, partial[None]]]:
    """Return title, detail and what to call."""
    return [
        ("Audits", "Finished jobs checked afterwards; earlier audits",
         partial(open_audits, app)),
        ("Overviews", "First-pass rates, times, failures, settings that revert, open concessions",
         partial(open_overviews, app)),
    ]  # fmt: skip


def run(store: str | None) -> int:
    """Show the audits of a store until they are left; return the exit code of the screens."""
    from commission.tui.audit.alone import run_alone

    return run_alone(store)
