"""The terminal app: its screens' frame, its themes, and how it ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from commission.tui.keys import OrderedKeysApp
from commission.tui.themes import DARK, THEMES

if TYPE_CHECKING:
    from commission.record.bench import Bench
    from commission.record.session import Session


class CommissionApp(OrderedKeysApp[None]):
    """The bench's jobs, one screen at a time."""

    TITLE = "commission"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "Quit", id="app.quit", priority=True, show=False),
    ]

    def __init__(self, store: str | None = None, job: str | None = None) -> None:
        """Keep where the record is; it is opened after the first paint."""
        super().__init__()
        self.store = store
        self.first_job = job
        self.technician = ""
        """Who works here now; remembered from the last job started or taken up."""
        self.bench: Bench | None = None
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK
        self.animation_level = "none"

    def open_job(self, session: Session) -> None:
        """Show the job of `session`, which this app closes when the job's screen is left."""
        from commission.tui.job.screen import JobScreen

        self.push_screen(JobScreen(session))


def run(store: str | None, job: str | None = None) -> int:
    """Show the screens until they are left; return the exit code."""
    app = CommissionApp(store, job)
    app.run()
    return app.return_code or 0
