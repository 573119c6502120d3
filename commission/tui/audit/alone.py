"""The audits by themselves, for `commission audit`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from commission.tui import endings
from commission.tui.app import CommissionApp
from commission.tui.audit.kept import Audits

if TYPE_CHECKING:
    from textual.screen import Screen


class AuditsApp(CommissionApp):
    """Begins with the audits; the last Back ends it."""

    def get_default_screen(self) -> Screen[None]:
        return Audits()


def run_alone(store: str | None) -> int:
    """Show the audits until they are left; return the exit code, as `commission.tui.app.run`."""
    missing = endings.terminal_missing()
    if missing:
        print(missing, file=sys.stderr)  # noqa: T201  there is no screen to say it on
        return endings.NO_TERMINAL
    endings.speak_utf8()
    app = AuditsApp(store)
    try:
        app.run()
    finally:
        endings.forget_dead_terminal()
    return app.return_code or 0
