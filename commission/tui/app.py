"""The terminal app: the frame of its screens, what holds on all of them, and how it ends.

A screen gives the app nothing but its class attributes and these, all optional:

- `commands()`: what the search offers beside the keys (see `palette.OffersCommands`);
- `about`: a sentence or two at the top of the help page;
- `type_ahead = True`: keys struck before it was shown are kept (see `keys`).

A binding that has an `id` is in the help and in the search; one with `show=True` is in the key bar,
which has room for six. `f10` leaves a screen everywhere; a screen that has something to do first
binds `f10` itself.
"""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.worker import WorkerFailed

from commission.tui import crash, endings
from commission.tui.keys import OrderedKeysApp, Struck
from commission.tui.small import TooSmall, too_small
from commission.tui.themes import DARK, THEMES, next_theme, starting_theme
from commission.tui.widgets import key_name

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    from textual import events
    from textual.screen import Screen

    from commission.record.bench import Bench
    from commission.tui.job.session import JobSession
    from commission.tui.palette import Command


@dataclass
class ScreenLeft(Message):
    """The screen above was left and is gone; what it recorded is in the record."""


class CommissionApp(OrderedKeysApp[None]):
    """The jobs of one bench."""

    TITLE = "commission"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (80, "-normal"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (30, "-tall")]
    CSS = """
    Screen { background: $background; color: $text; scrollbar-size-vertical: 1; }
    ModalScreen { background: $background 70%; }
    TooSmall { background: $background; }
    Toast { background: $panel; color: $text; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help", id="app.help",
                tooltip="Show what every key does here"),
        Binding("f9", "find", "Find", id="app.find",
                tooltip="Find a step or a command (also Ctrl+P)"),
        Binding("ctrl+p", "find", show=False),
        Binding("f10", "back", "Back", id="app.back", show=False,
                tooltip="Leave this screen; on the first one, quit"),
        Binding("f12", "theme", "Dark or light", id="app.theme", show=False,
                tooltip="Change between the dark and the light theme"),
        Binding("ctrl+q", "quit", "Quit", id="app.quit", show=False, priority=True,
                tooltip="Quit; what was confirmed is recorded"),
    ]  # fmt: skip

    def __init__(
        self,
        store: str | None = None,
        job: str | None = None,
        *,
        opener: Callable[[], Bench] | None = None,
        now: Callable[[], datetime] | None = None,
    ) -> None:
        """Keep where the record is; it is opened after the first paint.

        Args:
            store: path or URL; None is the one of this bench.
            job: a job to open at once.
            opener: opens the bench, for tests; None opens `store`.
            now: the wall clock as people read it, for tests.
        """
        super().__init__()
        self.store = store
        self.first_job = job
        self.opener = opener or partial(_open_bench, store)
        self.now = now or _local_now
        self.technician = ""
        """Who works here now: named by a person since the app was started, else empty."""
        self.bench: Bench | None = None
        """Set once it is open; closed when the app ends."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = starting_theme(os.environ.get("COMMISSION_THEME", DARK))
        self.animation_level = "none"

    def get_default_screen(self) -> Screen[None]:
        from commission.tui.home.screen import Home

        return Home()

    def get_key_display(self, binding: Binding) -> str:
        return key_name(binding)

    def on_mount(self) -> None:
        endings.watch_signals(self)
        endings.watch_keyboard(self)
        self.screen_change_signal.subscribe(self, lambda _: self.check_size())

    async def on_event(self, event: events.Event) -> None:
        if self.bench is not None and isinstance(event, Struck):
            self.bench.sitting.touch()  # before the key counts: it may come after a long pause
        await super().on_event(event)

    def on_unmount(self) -> None:
        if self.bench is not None:
            self.bench.close()

    def on_resize(self, event: events.Resize) -> None:
        del event
        # Behind the library's own handler, which sets the new size.
        self.call_later(self.check_size)

    def check_size(self) -> None:
        """Cover the screen while the window is too small, and uncover it."""
        top = self.screen
        if too_small(self.size) and not isinstance(top, TooSmall):
            self.push_screen(TooSmall())
        elif not too_small(self.size) and isinstance(top, TooSmall):
            self.pop_screen()

    def open_job(self, session: JobSession, *, instead: bool = False) -> None:
        """Show the job of `session`; the job's screen closes it when it is left.

        `instead` puts it in the place of the screen on top.
        """
        from commission.tui.job.screen import JobScreen

        if instead:
            self.switch_screen(JobScreen(session))
        else:
            self.push_screen(JobScreen(session))

    async def _replace_screen(self, screen: Screen[object]) -> Screen[object]:
        """Tell the screen below once the one that was left has done all it had to do."""
        left = await super()._replace_screen(screen)
        if self.screen_stack and not left.is_modal:
            self.screen.post_message(ScreenLeft())
        return left

    def action_help(self) -> None:
        from commission.tui.help import HelpPage, help_text

        if isinstance(self.screen, HelpPage):
            self.screen.dismiss()
        elif not isinstance(self.screen, TooSmall):
            about = str(getattr(self.screen, "about", ""))
            self.push_screen(HelpPage(help_text(self, self.screen, about)))

    def action_find(self) -> None:
        from commission.tui.palette import Palette, commands_of

        def run(command: Command | None) -> None:
            if command is not None:
                self.call_later(command.run)

        self.push_screen(Palette(commands_of(self, self.screen)), run)

    async def action_back(self) -> None:
        if len(self.screen_stack) > 1:
            self.pop_screen()
        else:
            self.exit()

    def action_theme(self) -> None:
        self.theme = next_theme(self.theme)

    async def action_quit(self) -> None:
        self.exit()

    def panic(self, *renderables: object) -> None:
        """End the app after a fault that is no exception in a handler; what it says is not shown.

        The keyboard's thread ends so when it fails; the message would carry what was being typed.
        """
        del renderables
        self._end_after(sys.exception() or RuntimeError("the terminal could not be read"))

    def _handle_exception(self, error: Exception) -> None:
        if self._exception is None:
            self._exception = error
            self._end_after(error.error if isinstance(error, WorkerFailed) else error)
            self._exception_event.set()

    def _end_after(self, error: BaseException) -> None:
        self._return_code = crash.EXIT_CODE
        if not self._exit_renderables:
            log = crash.write_log(error, _log_folder(self.store))
            self._exit_renderables.append(crash.sentence(log))
        self._close_messages_no_wait()

    def _print_error_renderables(self) -> None:
        for sentence in self._exit_renderables:
            print(sentence, file=sys.__stderr__)
        self._exit_renderables.clear()


def run(store: str | None, job: str | None = None) -> int:
    """Show the bench's screens until they are left; return the exit code, see `show`."""
    return show(CommissionApp(store, job))


def show(app: CommissionApp) -> int:
    """Show an app until it is left; return the exit code.

    0 left by a person, 2 no terminal, 70 a fault of the program (a log is written), 128 + n
    ended by signal n, 129 also where the keyboard is gone.
    """
    missing = endings.terminal_missing()
    if missing:
        print(missing, file=sys.stderr)  # noqa: T201  there is no screen to say it on
        return endings.NO_TERMINAL
    endings.speak_utf8()
    try:
        app.run()
    except Exception as error:  # noqa: BLE001  the app's last boundary: nothing is shown but a sentence
        print(crash.sentence(crash.write_log(error, _log_folder(app.store))), file=sys.stderr)  # noqa: T201
        return crash.EXIT_CODE
    finally:
        endings.forget_dead_terminal()
    return app.return_code or 0


def _open_bench(store: str | None) -> Bench:
    from commission.record.bench import Bench

    return Bench.open(store)


def _log_folder(store: str | None) -> Path:
    from commission.errors import CommissionError
    from commission.record.places import home, places_of

    try:
        return places_of(store).store.parent
    except CommissionError:
        return home()


def _local_now() -> datetime:
    from datetime import datetime

    return datetime.now().astimezone()
