"""The honest robot works the real screen, at a pace that can be watched, stopped and stepped."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import Binding, BindingType

from commission.errors import StoreError
from commission.practice.autopilot import Autopilot
from commission.practice.recorded import keeper
from commission.tui.job.told import entry_said
from commission.tui.practice.screen import PracticeJob

if TYPE_CHECKING:
    from textual import events
    from textual.timer import Timer

    from commission.practice.autopilot import Ended
    from commission.practice.opened import Opened

PACES: Final = (0.1, 0.3, 1.0, 2.0, 4.0)
"""Seconds between two things that the robot does."""
_USUAL: Final = 2


class WatchedJob(PracticeJob):
    """A practice job that a robot does, who knows nothing of any fault."""

    about = (
        "A robot does the job: it reads, types and obeys, and knows nothing of any fault. Space"
        " stops it and lets it go on, Enter does one thing, Up and Down change its pace."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "pause", "Stop, go on", id="watch.pause", priority=True,
                tooltip="Stop the robot, and let it go on"),
        Binding("enter", "step", "One step", id="watch.step", priority=True,
                tooltip="Let the robot do one thing"),
        Binding("f2", "route", "Route", id="job.route", show=False, tooltip="Show the route"),
        Binding("up", "pace(-1)", "Faster", id="watch.faster", show=False, priority=True),
        Binding("down", "pace(1)", "Slower", id="watch.slower", show=False, priority=True),
    ]  # fmt: skip

    def __init__(self, opened: Opened) -> None:
        """Have a robot work on an opened practice job."""
        super().__init__(opened)
        self._robot = Autopilot(opened.session, self.world.bike, keep=keeper(opened.session))
        self._pace = _USUAL
        self._is_paused = False
        self._ended: Ended | None = None
        self._timer: Timer | None = None
        self.panel.list.can_focus = False

    def on_mount(self) -> None:  # type: ignore[override]  # each class's own hook is called
        self._slot.disabled = True
        self._say("The robot begins.")
        self._set_timer()

    def on_unmount(self, event: events.Unmount) -> None:  # type: ignore[override]
        del event
        if self._timer is not None:
            self._timer.stop()

    @property
    def _is_over(self) -> bool:
        return self._ended is not None

    def _set_timer(self) -> None:
        if self._timer is not None:
            self._timer.stop()
        self._timer = (
            None
            if self._is_paused or self._is_over
            else self.set_timer(PACES[self._pace], self._turn)
        )

    async def _turn(self) -> None:
        if self._is_over or not self.is_current:
            self._set_timer()  # a help page covers the job: the robot waits
            return
        try:
            self._ended = self._robot.turn()
        except StoreError as error:
            self._is_paused = True
            self.could_not_write(error)
            return
        await self.show_job()
        last = self.session.recent(1)[0]
        said = entry_said(last, self.titles)
        if self._ended is not None:
            why = f": {self._ended.why}" if self._ended.why else ""
            said = f"The job is {self._ended.how}{why}. F10: what was wrong."
        self._say(said)
        self._set_timer()

    @property
    def _how(self) -> str:
        if self._is_over:
            return "ROBOT, ended"
        return f"ROBOT, {'stopped' if self._is_paused else f'{PACES[self._pace]:g} s a step'}"

    def _say(self, text: str) -> None:
        self.panel.top.said = text if self._is_over else f"{self._how}. {text}"
        self.panel.show_bench()
        self._header.show_job(self.session.state, self._how)

    def _show_frame(self) -> None:
        super()._show_frame()
        self._header.show_job(self.session.state, self._how)

    def action_pause(self) -> None:
        if self._is_over:
            return
        self._is_paused = not self._is_paused
        self._say("Space lets it go on, Enter does one thing." if self._is_paused else "")
        self._set_timer()

    async def action_step(self) -> None:
        self._is_paused = True
        if not self._is_over:
            await self._turn()

    def action_pace(self, by: int) -> None:
        if self._is_over:
            return
        self._pace = min(len(PACES) - 1, max(0, self._pace + by))
        self._say("")
        self._set_timer()

    async def action_bench(self) -> None:
        self._at_bench = not self._at_bench
        with self.app.step_change():
            self._place()

    def action_leave(self) -> None:
        self._is_paused = True
        ended = self._ended
        stopped_at = ended.step if ended is not None and ended.how == "stopped" else ""
        self.review(stopped_at, who="The robot")
