"""While jobs are checked, what was found so far stands there, and the cursor stays with it."""

from __future__ import annotations

import queue
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.book import AuditBook
from commission.audit.choose import Selection, population
from commission.audit.finding import Finding
from commission.tui.audit import running, so_far
from commission.tui.audit.checking import Checking, LeftError, Order
from commission.tui.audit.kept import Audits
from commission.tui.audit.running import Running
from commission.tui.audit.screen import AuditScreen
from commission.tui.audit.so_far import SoFar, progress

if TYPE_CHECKING:
    from commission.audit.finding import Severity
    from commission.audit.state import AuditState
    from commission.record.bench import Bench


def finding(severity: Severity, job: str, text: str = "Something was found.") -> Finding:
    return Finding("whole", severity, job, text)


def test_findings_so_far_stand_worst_first_in_the_order_they_came() -> None:
    found = SoFar()
    found.add([finding("review", "a"), finding("minor", "b"), finding("critical", "c")])
    found.add([finding("critical", "d"), finding("review", "e")])
    assert [one.job for one in found.worst()] == ["c", "d", "b", "a", "e"]
    assert found.counted() == "Found so far: 2 critical, 1 minor, 2 review."


def test_of_very_many_findings_the_worst_are_listed_and_all_are_counted() -> None:
    found = SoFar()
    found.add(finding("review", str(at)) for at in range(5000))
    found.add([finding("critical", "late")])
    assert len(found.worst()) == so_far.MOST
    assert found.worst()[0].job == "late"
    assert "1 critical, 5000 review" in found.counted()
    assert f"the worst {so_far.MOST} are listed" in found.counted()


@pytest.mark.parametrize(
    ("done", "seconds", "said"),
    [
        (0, 60.0, "0 of 10000 jobs, 0 %"),
        (10, 1.0, "10 of 10000 jobs, < 1 %"),
        (100, 10.0, "100 of 10000 jobs, 1 %   10 a second   about 16 min left"),
        (9999, 1000.0, "9999 of 10000 jobs, > 99 %   10 a second   about 1 s left"),
        (10000, 1000.0, "10000 of 10000 jobs, 100 %   10 a second"),
        (2, 10.0, "2 of 10000 jobs, < 1 %   5 s a job   about 833 min left"),
    ],
)
def test_how_far_it_is_is_said_with_rate_and_time_left(
    done: int, seconds: float, said: str
) -> None:
    assert progress(done, 10_000, seconds).splitlines()[1] == said


class Fed(Checking):
    """Finds what a test hands it, job by job, until it is told to check in earnest or left."""

    def __init__(self, bench: Bench, order: Order) -> None:
        super().__init__(bench, order)
        self.jobs: queue.Queue[list[Finding] | None] = queue.Queue()

    def go(self, told: Any, is_cancelled: Any, found_more: Any = None) -> AuditState:
        done = 0
        while not self._left.is_set():
            try:
                job = self.jobs.get(timeout=0.05)
            except queue.Empty:
                continue
            if job is None:
                return super().go(lambda _: None, is_cancelled, lambda _: None)
            done += 1
            found_more(job)
            told(done)
        raise LeftError


@pytest.fixture
def feed(dozen: Bench, open_audits: Any, until: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Show a run that is fed by the test."""
    monkeypatch.setattr(running, "_EVERY_S", 0.0)
    monkeypatch.setattr(running, "time", SimpleNamespace(monotonic=lambda: 5.0))

    async def shown(pilot: Any) -> tuple[Running, Fed]:
        await open_audits(pilot)
        every = population(dozen.store, Selection())
        jobs = tuple(line.job for line in every.lines)
        fed = Fed(dozen, Order("Second quarter", "ben", Selection(), "", jobs, every.digest))
        screen = Running(dozen, fed)
        pilot.app.push_screen(screen)
        await until(pilot, lambda: pilot.app.screen is screen, "the progress")
        return screen, fed

    return shown


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_the_cursor_stays_with_its_finding_as_worse_ones_come_in(
    app_on: Any, feed: Any, until: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        screen, fed = await feed(pilot)
        fed.jobs.put([finding("review", "A", "5 answers came too soon."), finding("major", "B")])
        await until(pilot, lambda: screen.table.row_count == 2, "two findings")
        await pilot.press("down")
        assert screen.finding is not None
        assert screen.finding.job == "A"
        hostile = "[bold]x[/] \x1b[31m \u202e"
        fed.jobs.put([finding("critical", "C", hostile), finding("minor", "D")])
        await until(pilot, lambda: screen.table.row_count == 4, "four findings")
        assert screen.finding.job == "A"
        assert screen.table.cursor_row == 3
        await pilot.pause()
        text = snapshot(app, f"audit-found-so-far-{size[0]}x{size[1]}")
        assert "1 critical, 1 major, 1 minor, 1 review" in text
        assert "2 of 12 jobs" in text
        assert "[bold]x[/]" in text
        assert "\x1b" not in text
        fed.leave()
        await app.workers.wait_for_complete()


@pytest.mark.parametrize("key", ["escape", "f10"])
async def test_stopping_says_that_nothing_is_left_behind(
    dozen: Bench, app_on: Any, feed: Any, until: Any, key: str
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        screen, fed = await feed(pilot)
        fed.jobs.put([finding("major", "B")])
        await until(pilot, lambda: screen.table.row_count == 1, "a finding")
        await pilot.press(key)
        await until(pilot, lambda: isinstance(app.screen, Audits), "the audits")
        await app.workers.wait_for_complete()
        said = [one.message for one in app._notifications]
    assert said == ["Stopped after 1 of 12 jobs. Nothing of it is recorded."]
    assert not AuditBook(dozen).audits()


async def test_the_audit_follows_once_all_jobs_were_looked_at(
    dozen: Bench, app_on: Any, feed: Any, until: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        _, fed = await feed(pilot)
        fed.jobs.put(None)
        await until(pilot, lambda: isinstance(app.screen, AuditScreen), "the findings")
    assert len(AuditBook(dozen).audits()) == 1
