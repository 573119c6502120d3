"""Keys in the order they were struck, however fast they come, and never into what replaced it.

A barcode scanner or a stalled link hands over many keys at once. Left alone, a printable key
overtakes the Enter before it, and a key meant for one step lands in the next. Two rules here:

1. *One at a time.* A key (or a paste) reaches the focused widget only after the one before it has
   been handled in full: it, the action it is bound to, and the messages that follow from that.
2. *Seen first.* Keys struck before a new screen or step was on the screen count for nothing and the
   person is told so; presses of the mouse count for nothing, too. `OrderedKeysApp.step_change`
   marks such a change; a change of screen marks itself, unless the new one says `type_ahead = True`
   (a search box, a help page).
"""

from __future__ import annotations

from collections import deque
from contextlib import contextmanager
from functools import partial
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from textual import events
from textual.app import App

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from textual.dom import DOMNode
    from textual.screen import Screen

Outcome = TypeVar("Outcome")
Struck = events.Key | events.Paste


class OrderedKeysApp(App[Outcome], Generic[Outcome]):
    """An app that keeps the two rules above."""

    LAPS: ClassVar[int] = 3
    """Rounds from the focused widget up to the app that follow a key: the key with its action,
    the messages of the action, and the messages of their handlers."""
    WATCH_S: ClassVar[float] = 0.2
    """How often to look whether what follows a key died with a widget that was removed."""
    REPEAT_S: ClassVar[float] = 0.25
    """A key that changed the step, struck again within this time of its last stroke, is the same
    stroke held down or bounced, and counts for nothing. 0 takes every stroke."""

    def __init__(self) -> None:
        """Start with no key struck and no screen shown."""
        super().__init__()
        self._held: deque[Struck] = deque()
        self._serial = 0
        self._following: DOMNode | None = None
        self._in_flight = ""
        self._changes = 0
        self._showing: Screen[Any] | None = None
        self._waiting_for: Screen[Any] | None = None
        self._repeat = ""
        self._repeat_at = 0.0

    def on_mount(self) -> None:
        self.screen_change_signal.subscribe(self, lambda _: self._notice_screen(), immediate=True)
        self._notice_screen()

    # Rule 1: one at a time

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, Struck) and not event.is_forwarded:
            self._notice_screen()
            if self._is_repeat(event):
                return
            self._held.append(event)
            await self._hand_on()
            return
        if isinstance(event, events.MouseDown | events.MouseUp) and self._gated:
            # No press meant for what was shown before counts; one let go must not stay held.
            self._mouse_down_widget = None
            if isinstance(event, events.MouseDown):
                return
        await super().on_event(event)

    async def _hand_on(self) -> None:
        if self._following is not None or self._gated or not self._held:
            return
        event = self._held.popleft()
        self._serial += 1
        self._in_flight = event.key if isinstance(event, events.Key) else "paste"
        target = self._focus()
        self._following = target
        await super().on_event(event)
        self._follow(target, target, self.LAPS, self._serial)
        self.set_timer(self.WATCH_S, self._watch(self._serial))

    def _focus(self) -> DOMNode:
        return self.focused or self.screen

    def _follow(self, node: DOMNode | None, start: DOMNode, laps: int, serial: int) -> None:
        """Send a marker along the queues that the key itself goes through."""
        while node is not None and node is not self:
            if node.is_running and node.call_later(self._hop, node, start, laps, serial):
                self._following = node
                return
            node = node.parent
        self._following = self
        self.call_later(self._lap_done, start, laps - 1, serial)

    def _hop(self, node: DOMNode, start: DOMNode, laps: int, serial: int) -> None:
        if serial == self._serial:
            self._follow(node.parent, start, laps, serial)

    async def _lap_done(self, start: DOMNode, laps: int, serial: int) -> None:
        if serial != self._serial or self._following is None:
            return
        if laps > 0:
            self._follow(start, start, laps, serial)
            return
        self._following = None
        self._notice_screen()
        await self._hand_on()

    def _watch(self, serial: int) -> Callable[[], Any]:
        async def look() -> None:
            following = self._following
            if serial != self._serial or following is None:
                return
            if following.is_running and following.is_attached:
                # A slow handler (a slow disk) is no reason to let the next key overtake.
                self.set_timer(self.WATCH_S, self._watch(serial))
            else:
                await self._lap_done(self, 0, serial)

        return look

    # Rule 2: seen first

    def hold_keys(self) -> None:
        """Hold keys back from now on, until as many `release_keys`."""
        self._changes += 1
        self._start_repeat()

    def release_keys(self) -> None:
        """Hand keys on again once what is on the screen now has been shown, dropping those held."""
        self._wait_until_shown(self._end_change)

    @contextmanager
    def step_change(self) -> Iterator[None]:
        """Hold keys while the body replaces a step and sets the focus; see `release_keys`."""
        self.hold_keys()
        try:
            yield
        finally:
            self.release_keys()

    def keys_dropped(self, count: int) -> None:
        """Tell the person that `count` keys counted for nothing."""
        self.notify(
            f"{count} keys came before this was shown and were not taken."
            if count > 1
            else "A key came before this was shown and was not taken.",
            severity="warning",
            timeout=4,
            markup=False,
        )

    @property
    def _gated(self) -> bool:
        return self._changes > 0 or self._waiting_for is not None

    def _notice_screen(self) -> None:
        """Start waiting for the screen on top where it is another one than was shown last."""
        if not self._screen_stack:
            return
        screen = self.screen
        if screen is self._showing or screen is self._waiting_for:
            return
        self._waiting_for = screen
        self._start_repeat()
        self._wait_until_shown(partial(self._screen_shown, screen))

    def _wait_until_shown(self, then: Callable[[], Any]) -> None:
        """Call `then` once, through this app's own queue, so behind every key struck until then."""
        screen = self.screen
        waiting = True

        def shown() -> None:
            nonlocal waiting
            if not waiting:
                return
            if self._batch_count or not screen.is_mounted:
                self.set_timer(0.01, shown)
                return
            waiting = False
            self.call_later(then)

        def look() -> None:
            # A screen that is closed before it was painted never calls back.
            nonlocal waiting
            if waiting and screen is self.screen and screen.is_running:
                self.set_timer(self.WATCH_S, look)
            elif waiting:
                waiting = False
                self.call_later(then)

        screen.call_after_refresh(shown)
        self.set_timer(self.WATCH_S, look)

    async def _end_change(self) -> None:
        self._changes = max(0, self._changes - 1)
        await self._open_gate(keep=False)

    async def _screen_shown(self, screen: Screen[Any]) -> None:
        if screen is not self._waiting_for:
            return
        self._waiting_for = None
        if screen is not self.screen:
            self._notice_screen()
            return
        self._showing = screen
        await self._open_gate(keep=bool(getattr(screen, "type_ahead", False)))

    async def _open_gate(self, *, keep: bool) -> None:
        if self._gated:
            return
        self._serial += 1
        self._following = None
        dropped = 0 if keep else len(self._held)
        if dropped:
            self._held.clear()
            self.keys_dropped(dropped)
        await self._hand_on()

    def _start_repeat(self) -> None:
        if self._following is not None and self.REPEAT_S:
            self._repeat, self._repeat_at = self._in_flight, monotonic()

    def _is_repeat(self, event: Struck) -> bool:
        if not self._repeat:
            return False
        now = monotonic()
        same = isinstance(event, events.Key) and event.key == self._repeat
        if same and now - self._repeat_at < self.REPEAT_S:
            self._repeat_at = now
            return True
        self._repeat = ""
        return False
