"""A job in memory over the real rules, and an app that shows its screen and nothing else."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest

from commission.errors import StoreError
from commission.job import moves
from commission.job.advance import advance, begin
from commission.job.entry import GENESIS, Clock, Digest, Draft, Entry, Instant
from commission.job.plan import plan
from commission.procedure.load import loads
from commission.tui.app import CommissionApp
from commission.tui.job.screen import JobScreen
from commission.tui.keys import OrderedKeysApp

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot
    from textual.screen import Screen

    from commission.job.state import JobState

PEOPLE: Final = (("Ada", ("technician",)), ("Ben", ("witness",)), ("Cleo", ("lead",)))
_START: Final = datetime(2031, 5, 6, 12, 8, 9, tzinfo=UTC)


class MemorySession:
    """What `commission.record.session.Session` is, without a disk; its clock is told."""

    def __init__(self, text: str, *, practice: bool = False) -> None:
        loaded = loads(text)
        assert loaded.procedure is not None, loaded.problems
        self._state = begin(plan(loaded.procedure))
        self.entries: list[Entry] = []
        self.seconds = 0.0
        self.fails = False
        self.closed = False
        self._head = GENESIS
        procedure = {
            "id": loaded.procedure.procedure, "revision": loaded.procedure.revision,
            "digest": loaded.digest, "text": loaded.text,
        }  # fmt: skip
        people = [{"name": name, "roles": list(roles)} for name, roles in PEOPLE]
        self.record([Draft("opened", "Ada", body={
            "job": "20310506-BCDF", "bike": {"frame": "TRY-0001", "model": "a bike"},
            "procedure": procedure, "practice": practice, "people": people, "tool": "test",
        })])  # fmt: skip

    @property
    def state(self) -> JobState:
        return self._state

    @property
    def head(self) -> Digest:
        return self._head

    def now(self) -> Instant:
        at = (_START + timedelta(seconds=self.seconds)).isoformat(timespec="microseconds")
        return Instant(at.replace("+00:00", "Z"), Clock("boot", int(self.seconds * 1e9)))

    def record(self, drafts: Iterable[Draft]) -> JobState:
        if self.fails:
            raise StoreError("The disk is full.", "Make room on it.")
        state, entries = self._state, []
        for draft in drafts:
            self.seconds += 1
            now = self.now()
            entry = Entry(
                "20310506-BCDF", state.seq + 1, now.at, now.clock, "bench", draft.by, draft.kind,
                draft.step, draft.attempt, draft.body, self._head,
            )  # fmt: skip
            state = advance(state, entry)
            entries.append(entry)
            self._head = Digest(hashlib.sha256(repr(entry).encode()).hexdigest())
        self.entries += entries
        self._state = state
        return state

    def settle(self) -> JobState:
        while drafts := moves.automatic(self._state, self.now()):
            self.record(drafts)
        return self._state

    def recent(self, count: int) -> tuple[Entry, ...]:
        return tuple(self.entries[-count:])

    def attach(self, path: str | Path) -> dict[str, str | int]:
        content = Path(path).read_bytes()
        digest = hashlib.sha256(content).hexdigest()
        return {"name": Path(path).name, "sha256": digest, "size": len(content)}

    def taking_part(self, name: str, role: str, by: str) -> tuple[str, tuple[Draft, ...]]:
        raise AssertionError(f"nobody is registered here: {name}, {role}, {by}")

    @property
    def sitting(self) -> Any:
        raise AssertionError("nobody signs here")

    workshop: Any = None

    def close(self) -> None:
        self.closed = True

    # For tests

    def submit(self, step: str, **given: Any) -> None:
        """Answer a step as Ada, acknowledging its caution first."""
        if self.state.plan.planned(step).step.cautions and not self.state.steps[step].acknowledged:
            self.record([moves.acknowledge(self.state, step, "Ada")])
        self.record(moves.submit(self.state, step, given, "Ada", self.now()))
        self.settle()

    def kinds(self) -> list[str]:
        """The kinds of all entries."""
        return [entry.kind for entry in self.entries]

    def given(self, step: str) -> dict[str, Any]:
        """What the concluded answer of a step answered in one piece holds."""
        answer = self.state.steps[step].answer
        assert answer is not None
        return dict(answer.parts[""])


class JobApp(CommissionApp):
    """Shows one job; leaving it shows an empty screen."""

    def __init__(self, session: MemorySession) -> None:
        super().__init__()
        self._session = session
        self.rung = 0

    def get_default_screen(self) -> Screen[None]:
        from textual.screen import Screen

        return Screen()

    def on_mount(self) -> None:
        self.open_job(self._session)

    def bell(self) -> None:
        self.rung += 1

    @property
    def job(self) -> JobScreen:
        """The job's screen."""
        return next(one for one in self.screen_stack if isinstance(one, JobScreen))

    def text(self) -> str:
        """All that is on the screen, line by line."""
        lines = self.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in line).rstrip() for line in lines)


def procedure(*steps: str, settings: str = "", facts: str = "", rest: str = "") -> str:
    """Return the text of a procedure of one stage with `steps`, each a YAML mapping."""
    listed = "\n".join("      - " + step.strip().replace("\n", "\n        ") for step in steps)
    return f"""
procedure: trial
revision: 3
title: A trial
purpose: To try the cards.
{f"facts:{facts}" if facts else ""}
{f"settings:{settings}" if settings else ""}
{rest}
stages:
  - id: first
    title: First stage
    steps:
{listed}
"""


Show = Callable[..., Any]


@pytest.fixture(autouse=True)
def _no_waiting_for_fingers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a test strike the same key twice at once; the rule itself is tested with the keys."""
    monkeypatch.setattr(OrderedKeysApp, "REPEAT_S", 0)
    monkeypatch.setenv("TZ", "UTC")


@pytest.fixture
def show() -> Show:
    """Show a session's job in a window of a given size, for a test to use with `async with`."""

    @asynccontextmanager
    async def shown(
        session: MemorySession, size: tuple[int, int] = (80, 24)
    ) -> AsyncIterator[tuple[JobApp, Pilot[None]]]:
        app = JobApp(session)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield app, pilot

    return shown


async def type_text(pilot: Pilot[None], text: str, *keys: str) -> None:
    """Type `text` and then strike `keys`."""
    await pilot.press(*(_KEYS.get(one, one) for one in text), *keys)


_KEYS: Final = {" ": "space", ".": "full_stop", "-": "minus", ",": "comma", "/": "slash",
                "=": "equals_sign", "_": "underscore"}  # fmt: skip


@pytest.fixture
def typing() -> Callable[..., Any]:
    """Type a text and strike keys."""
    return type_text


@pytest.fixture
def session() -> Callable[..., MemorySession]:
    """Open a job in memory on steps given as YAML."""

    def opened(*steps: str, practice: bool = False, **parts: str) -> MemorySession:
        return MemorySession(procedure(*steps, **parts), practice=practice)

    return opened


@pytest.fixture
def session_of() -> Callable[[Path], MemorySession]:
    """Open a job in memory under the procedure of a file."""

    def opened(file: Path) -> MemorySession:
        return MemorySession(file.read_text("utf-8"))

    return opened
