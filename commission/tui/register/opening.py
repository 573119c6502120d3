"""The ways to the register from everywhere; light, so that it may be imported at any time."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    from commission.record.bench import Bench


def ways(app: App[Any]) -> list[tuple[str, str, partial[None]]]:
    """Return title, detail and what to call; nothing while there is no bench."""
    bench = getattr(app, "bench", None)
    if bench is None:
        return []
    return [
        ("People", "Register: roles and keys", partial(open_people, app, bench)),
        ("Instruments", "Register: accuracy and calibration",
         partial(open_instruments, app, bench)),
    ]  # fmt: skip


def open_people(app: App[Any], bench: Bench) -> None:
    """Show the register's people."""
    from commission.tui.register.screen import RegisterScreen

    if not isinstance(app.screen, RegisterScreen):
        app.push_screen(RegisterScreen(bench))


def open_instruments(app: App[Any], bench: Bench) -> None:
    """Show the register's instruments."""
    from commission.tui.register.instruments import InstrumentsScreen

    if not isinstance(app.screen, InstrumentsScreen):
        app.push_screen(InstrumentsScreen(bench))
