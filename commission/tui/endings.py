"""How the app ends when something outside ends it: a signal, a dropped link, no terminal.

SIGTERM and SIGINT end it as the shell counts them (143, 130), a hang-up or a lost keyboard as 129.
In each case the screens are left in order and the terminal is as it was before.
"""

from __future__ import annotations

import asyncio
import io
import os
import select
import signal
import sys
from functools import partial
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from textual.app import App

HANGUP: Final = 129
NO_TERMINAL: Final = 2
KEYBOARD_WATCH_S: Final = 0.5
_SIGNALS: Final = ("SIGTERM", "SIGHUP", "SIGINT")


def watch_signals(app: App[None]) -> None:
    """End `app` in order on SIGTERM, SIGHUP and SIGINT; not on Windows, which has none of them."""
    loop = asyncio.get_running_loop()
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is None or sys.platform == "win32":
            continue
        loop.add_signal_handler(number, partial(app.exit, return_code=128 + number))


def watch_keyboard(app: App[None]) -> None:
    """End `app` when its keyboard is gone for good, instead of reading nothing for ever."""
    if sys.platform == "win32" or app.is_headless or sys.__stdin__ is None:
        return
    poll = select.poll()
    poll.register(sys.__stdin__.fileno(), 0)

    def look() -> None:
        gone = select.POLLHUP | select.POLLERR | select.POLLNVAL
        if any(events & gone for _, events in poll.poll(0)):
            app.exit(return_code=HANGUP)

    app.set_interval(KEYBOARD_WATCH_S, look, name="keyboard")


def terminal_missing() -> str:
    """Return a sentence where the screens cannot be shown here, or an empty text."""
    streams = (sys.__stdin__, sys.__stdout__, sys.__stderr__)
    if all(stream is not None and stream.isatty() for stream in streams):
        return ""
    return "The screens need a terminal; use `commission --plain` for pipes and screen readers."


def speak_utf8() -> None:
    """Send the screens as UTF-8 whatever the locale says: line drawing is no text to convert."""
    if isinstance(sys.__stderr__, io.TextIOWrapper) and sys.__stderr__.encoding != "utf-8":
        sys.__stderr__.reconfigure(encoding="utf-8")


def forget_dead_terminal() -> None:
    """Let nothing more be written to a terminal that is gone: the exit code would become 120."""
    for stream in (sys.__stdout__, sys.__stderr__):
        if stream is None:
            continue
        try:
            stream.flush()
        except OSError:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)
