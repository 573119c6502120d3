"""A person who practises: strikes keys, reads the panel, types what it shows."""

from __future__ import annotations

from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, Any

import pytest

from commission.job import moves
from commission.job.plan import from_record
from commission.practice import preparing
from commission.practice.opened import open_job
from commission.procedure import load
from commission.tui.app import CommissionApp
from commission.tui.job.cells import CellsArea
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.fields import FieldsArea
from commission.tui.job.gate import GateArea
from commission.tui.job.signing import SignArea
from commission.tui.practice.screen import PracticeJob

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable
    from pathlib import Path


class PracticeOnly(CommissionApp):
    """Shows one practice job."""

    def __init__(self, opened: Any) -> None:
        super().__init__()
        self.job = PracticeJob(opened)
        self.reviews: list[Any] = []

    async def on_mount(self) -> None:  # type: ignore[override]
        await self.push_screen(self.job)


class Person:
    """Knows the job's steps and no fault."""

    def __init__(self, app: PracticeOnly, pilot: Any) -> None:
        self.app, self.pilot = app, pilot
        self.job, self.panel = app.job, app.job.panel
        self.by_keys = False
        """Whether the bar is moved by keys, which takes a test's time."""

    @property
    def step(self) -> str:
        due = moves.open_step(self.job.session.state)
        return "" if due is None or self.job.session.state.outcome else due.id

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)

    async def strike(self, text: str) -> None:
        """Type a text into the card, or have it there at once where keys are not what is tried."""
        if self.by_keys:
            await self.press(*text, "enter")
        else:
            area: Any = self.job.area
            area.input.value = text
            await self.press("enter")

    async def at_bench(self) -> None:
        if not self.panel.has_focus_within:
            await self.press("f11")

    async def at_card(self) -> None:
        if self.panel.has_focus_within:
            await self.press("f11")

    async def go_to(self, row: str) -> None:
        """Move the bar to a row of the page in front."""
        await self.at_bench()
        ids = [each.id for each in self.panel.top.rows()]
        if not self.by_keys:
            self.panel.list.highlighted = ids.index(row)
            return
        headings = {each.id for each in self.panel.top.rows() if each.heading}
        at, to = self.panel.list.highlighted or 0, ids.index(row)
        passed = [one for one in ids[min(at, to) : max(at, to)] if one not in headings]
        await self.press(*["down" if to > at else "up"] * len(passed))
        assert self.panel.list.highlighted == to, row

    async def do(self, *rows: str) -> None:
        """Do what Enter does at rows, one after the other."""
        for row in rows:
            if row in ("program", "papers", "looks") and self.panel.top.at == row:
                continue
            if row in ("program", "papers", "looks", "bike"):
                await self.page(row)
            else:
                await self.go_to(row)
                await self.press("enter")

    async def page(self, name: str) -> None:
        if self.panel.top.at != "bike":
            await self.go_to("page:bike")
            await self.press("enter")
        if name != "bike":
            await self.go_to(f"page:{name}")
            await self.press("enter")

    def sees(self, word: str) -> str:
        return next(one.text for one in self.panel.top.sights() if one.word == word)

    def reads(self, row: str) -> str:
        return next(one.value for one in self.panel.top.rows() if one.id == row)

    async def confirm(self) -> None:
        """Mark and confirm the card."""
        await self.at_card()
        area = self.job.area
        assert isinstance(area, GateArea), area
        await self.press("space", "enter")

    async def read_caution(self) -> None:
        if self.job.mode.kind == "caution":
            await self.confirm()

    async def type(self, text: str) -> None:
        await self.at_card()
        assert isinstance(self.job.area, FieldsArea | CellsArea), self.job.area
        await self.strike(text)

    async def choose(self, words: str) -> None:
        await self.at_card()
        area = self.job.area
        assert isinstance(area, ChoiceArea), area
        place = list(area.options).index(words)
        await self.press(*["down"] * (place + 1), "enter")

    async def import_list(self) -> None:
        """Read the controller afresh, export, and take the list over with F8."""
        await self.do("bike")
        if self.reads("key") == "off":
            await self.do("key")
        await self.do("program", "connect", "export", "bike")
        await self.at_card()
        await self.press("f8", "enter", "space", "enter")

    async def spin(self) -> str:
        """Let the wheel just turn and say which way, in the words of the card."""
        await self.do("bike", "drive", "throttle")
        seen = self.sees("Wheel")
        await self.do("throttle", "drive")
        for words in ("FORWARD", "BACKWARD"):
            if words in seen:
                return f"turns {words.lower()}"
        return "does not turn"

    def mode(self) -> str:
        return self.sees("Display").partition("mode ")[2].partition(",")[0]

    async def sign(self, meaning: str, name: str = "Rika Holt") -> None:
        await self.at_card()
        assert isinstance(self.job.area, SignArea), self.job.area
        await self.press(*name, "enter", *meaning, "enter")


async def quick_until_the_cycle(person: Person) -> None:
    """Do the quick check as far as its key cycle."""
    await person.do("looks", "bike.identity")
    await person.type(person.panel.top.said)
    await person.read_caution()
    await person.do("bike", "stand")
    await person.confirm()
    await person.import_list()
    await person.choose(person.mode())
    await person.read_caution()
    await person.choose(await person.spin())


async def key_cycle(person: Person, *, looks: bool = True) -> None:
    """Do the key cycle; one who does not look says what was expected."""
    await person.read_caution()
    await person.do("bike", "key")
    await person.confirm()
    await person.do("wait", "key")
    await person.confirm()
    await person.import_list()
    await person.choose(person.mode() if looks else "low")
    await person.choose(await person.spin() if looks else "turns forward")


@pytest.fixture
def practising(tmp_path: Path) -> Callable[..., Any]:
    """Open a practice job in an app: `practising(slug, fault, size)` gives a `Person`."""

    @asynccontextmanager
    async def practise(
        slug: str = "quick-persistence", fault: str = "", size: tuple[int, int] = (120, 40)
    ) -> AsyncIterator[Person]:
        files = {name: file for name, _, file in load.shipped()}
        loaded = load.load(files[slug])
        plan = from_record(loaded.text)
        wrong = preparing.named(fault) if fault else None
        bike = preparing.prepared(plan, wrong, None)
        opened = open_job(loaded, plan, bike, str(tmp_path / "practice.db"), real_s=None)
        app = PracticeOnly(opened)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield Person(app, pilot)

    return practise


@pytest.fixture
def until_cycle() -> Any:
    return quick_until_the_cycle


@pytest.fixture
def cycle() -> Any:
    return key_cycle
