"""Jobs being checked: how far it is, and the findings once all were looked at and recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.worker import get_current_worker

from commission.errors import CommissionError
from commission.tui.audit.checking import LeftError
from commission.tui.widgets import KeyBar, Plain, TitleBar

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from commission.audit.state import AuditState
    from commission.record.bench import Bench
    from commission.tui.app import CommissionApp
    from commission.tui.audit.checking import Checking

_BAR: Final = 40


class Running(Screen[None]):
    """Shows how far it is; leaving it before the end leaves nothing recorded."""

    about = (
        "The jobs are checked one after the other. The audit is recorded once all of them were"
        " looked at; whoever leaves before that leaves nothing behind."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f10", "app.back", "Leave it", id="running.back",
                tooltip="Leave it; nothing is recorded"),
        Binding("escape", "app.back", show=False),
    ]  # fmt: skip
    DEFAULT_CSS = """
    Running { #checking { height: 1fr; margin: 2 3; } }
    """
    app: CommissionApp

    @dataclass
    class Went(Message):
        """Some more jobs were checked."""

        done: int

    @dataclass
    class Kept(Message):
        """All were checked, and the audit is recorded."""

        state: AuditState

    @dataclass
    class Refused(Message):
        """It could not be made; nothing was recorded."""

        error: CommissionError

    def __init__(self, bench: Bench, checking: Checking) -> None:
        """Begin once this is on the screen."""
        super().__init__()
        self._bench = bench
        self._checking = checking
        self._kept: AuditState | None = None

    def compose(self) -> ComposeResult:
        yield TitleBar("Audit", self._checking.order.purpose)
        yield Plain(id="checking")
        yield KeyBar()

    def on_mount(self) -> None:
        self.on_running_went(self.Went(0))
        # The app's worker, not this screen's: what is being recorded is recorded to its end.
        self.app.run_worker(self._check, thread=True, group="audit", name="audit")

    def on_unmount(self) -> None:
        self._checking.leave()

    def on_screen_resume(self) -> None:
        self._show_kept()

    def on_running_went(self, message: Went) -> None:
        total = len(self._checking.order.expected)
        full = _BAR * message.done // max(1, total)
        self.query_one("#checking", Plain).show(
            f"Checking {total} jobs …\n\n{'#' * full}{'.' * (_BAR - full)}\n"
            f"{message.done} of {total} jobs\n\n"
            "The audit is recorded once all were looked at. F10 leaves it: nothing is recorded."
        )

    def on_running_refused(self, message: Refused) -> None:
        said = f"The audit was not made; nothing is recorded.\n\n{message.error.diagnostics()}"
        self.query_one("#checking", Plain).show(f"{said}\n\nF10 goes back.", "$text-error")

    def on_running_kept(self, message: Kept) -> None:
        self._kept = message.state
        self._show_kept()

    def _show_kept(self) -> None:
        """Show the findings; where something else is on top, when it is left."""
        from commission.tui.audit.screen import AuditScreen

        if self._kept is not None and self.app.screen is self:
            self.app.switch_screen(AuditScreen(self._bench, self._kept))

    def _check(self) -> None:
        worker = get_current_worker()

        def told(done: int) -> None:
            self.post_message(self.Went(done))

        try:
            state = self._checking.go(told, lambda: worker.is_cancelled)
        except LeftError:
            return
        except CommissionError as error:
            self.post_message(self.Refused(error))
        else:
            self.post_message(self.Kept(state))
