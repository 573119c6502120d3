"""One practice bike at one job: how it truly is, its clock, and what a person had in hand.

The clock goes on by itself as the room's does, and jumps where somebody lets time pass; the record
reads the same clock.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from commission.practice.bike import Bike
from commission.practice.probes.settings import declare
from commission.record.clocks import Clocks

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.job.plan import Plan
    from commission.practice.preparing import Prepared


@dataclass
class World:
    """See the module."""

    plan: Plan
    prepared: Prepared
    folder: Path
    """Where files go that are written at the bench."""
    real_s: Callable[[], float] | None = time.monotonic
    """The room's clock; None stands still, so that time passes only where somebody lets it."""
    bike: Bike = field(init=False)
    touched: int = 0
    """How often something was done or looked at."""
    last_file: Path | None = None
    """What was written last."""
    step: str = ""
    """The open step, and how much its timer still asks for; the job's screen sets both."""
    timer_s: float = 0.0

    def __post_init__(self) -> None:
        """Have the bike ready, with every setting of the procedure."""
        self.bike = Bike(self.prepared.build, self.prepared.seed)
        for setting in self.plan.settings.values():
            declare(self.bike, setting)
        self._last_s = 0.0 if self.real_s is None else self.real_s()
        self._began_us = time.time_ns() // 1000

    def now_s(self) -> float:
        """Return simulated seconds since the job began."""
        if self.real_s is not None:
            now = self.real_s()
            self.bike.wait(now - self._last_s)
            self._last_s = now
        return self.bike.now_s

    @property
    def clocks(self) -> Clocks:
        """The clocks of the record."""
        return Clocks(
            lambda: self._began_us + round(self.now_s() * 1e6),
            lambda: round(self.now_s() * 1e9),
            f"practice-{self._began_us}",
        )

    def open_step(self, step: str, timer_s: float = 0.0) -> None:
        """Keep which step is in hand: events are told with it."""
        self.step = self.bike.step = step
        self.timer_s = timer_s

    def write(self, name: str, text: str) -> str:
        """Write a file at the bench and return what is said of it."""
        path = self.folder / name
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            return f"Not written: {error.strerror or error}."
        self.last_file = path
        return f"Written: {path}"

    def wait(self, seconds: float) -> None:
        """Let time pass at once."""
        self.now_s()
        self.bike.wait(seconds)
        self.timer_s = max(0.0, self.timer_s - seconds)
