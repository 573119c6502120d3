"""Time that must pass: a running bar, a bell at its end, and only then the answer."""

from __future__ import annotations

from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING, Final

from textual import on
from textual.message import Message

from commission.tui.job.fields import FieldsArea
from commission.tui.job.gate import DoneArea
from commission.tui.widgets import Plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from commission.job.ask import Ask, Wait
    from commission.tui.job.scale import Bounds

_TICK_S: Final = 0.25
_BAR: Final = 40


class Timer(Plain):
    """A timer that cannot be cut short; what counts in the end is the record's own clock."""

    DEFAULT_CSS = """
    Timer { height: auto; margin-bottom: 1; text-style: bold; }
    """

    @dataclass
    class Over(Message):
        """The time has passed."""

    def __init__(self, wait: Wait) -> None:
        """Run down `wait`; a wait that is over already rings no bell."""
        super().__init__()
        self._wait = wait
        self._end = monotonic() + wait.remaining
        self._rings = wait.remaining > 0

    def on_mount(self) -> None:
        self._tick()
        self.set_interval(_TICK_S, self._tick)

    @property
    def remaining(self) -> float:
        """Seconds left, at least 0."""
        return max(0.0, self._end - monotonic())

    def run_down_to(self, seconds: float) -> None:
        """Have so many seconds left: the record's clock went on faster than this one."""
        self._end = monotonic() + seconds
        self._tick()

    def _tick(self) -> None:
        left = self.remaining
        self.show(timer_text(self._wait.seconds, left))
        if left <= 0 and self._rings:
            self._rings = False
            self.app.bell()
            self.post_message(self.Over())


class WaitArea(DoneArea):
    """Something that may be said to be done only when the time is over."""

    def __init__(self, field: str, text: str, wait: Wait) -> None:
        """Keep the box `text` locked until `wait` is over."""
        super().__init__(field, text, locked=wait.remaining > 0)
        self.timer = Timer(wait)

    def compose(self) -> ComposeResult:
        yield self.timer
        yield from super().compose()

    @on(Timer.Over)
    def unlock(self, event: Timer.Over) -> None:
        event.stop()
        self.mark.locked = False
        self.refuse("")


class WaitFieldsArea(FieldsArea):
    """Something that may be measured only when the time is over."""

    def __init__(self, asks: Sequence[Ask], bounds: Callable[[Ask], Bounds], wait: Wait) -> None:
        """Show the timer of `wait` above the fields; before its end the record refuses them."""
        super().__init__(asks, bounds)
        self.timer = Timer(wait)

    def compose(self) -> ComposeResult:
        yield self.timer
        yield from super().compose()

    @on(Timer.Over)
    def allow(self, event: Timer.Over) -> None:
        event.stop()
        self.refuse("")


def timer_text(seconds: float, left: float) -> str:
    """Return the bar and the words of a timer: `████░░ 0:42 left of 2:00`."""
    part = 1.0 if seconds <= 0 else min(1.0, max(0.0, 1 - left / seconds))
    full = int(part * _BAR)
    bar = "█" * full + "░" * (_BAR - full)
    whole = clock(seconds)
    return f"{bar}  {f'{clock(left)} left of {whole}' if left > 0 else f'OVER: {whole} passed'}"


def clock(seconds: float) -> str:
    """Return a duration as people read it: `0:42`, `1:02:03`; part seconds count as whole."""
    whole = int(-(-seconds // 1))
    hours, rest = divmod(whole, 3600)
    minutes, second = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{second:02}" if hours else f"{minutes}:{second:02}"
