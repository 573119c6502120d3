"""Writing a sheet from Home and from a job: offered names, refusals in words, nothing replaced."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.job import moves
from commission.tui.home.screen import Home
from commission.tui.job.screen import JobScreen
from commission.tui.report.dialog import WriteReport

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def job(start_job: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A job under way, and an empty folder to write into."""
    folder = tmp_path / "reports"
    folder.mkdir()
    monkeypatch.chdir(folder)
    with start_job("OFR-0001") as session:
        draft = moves.submit(
            session.state, "stand", {"value": "done"}, "Ada Nwosu", session.now()
        )  # fmt: skip
        session.record(draft)
        return str(session.job)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_home_offers_the_highlighted_jobs_sheets(
    app_on: Any, until: Any, job: str, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: isinstance(app.screen, Home) and app.screen.list.job)
        await pilot.press("f8")
        await until(pilot, lambda: isinstance(app.screen, WriteReport))
        await until(pilot, lambda: app.screen.file.value == f"{job}-state-sheet.pdf")
        text = snapshot(app, f"report-{size[0]}x{size[1]}")
        assert "handover sheet, for the owner" in text
        assert "OFR-0001" in text


async def test_another_sheet_offers_another_file_and_enter_writes_it(
    app_on: Any, until: Any, job: str, tmp_path: Path
) -> None:
    app = app_on()
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, Home) and app.screen.list.job)
        await pilot.press("f8")
        await until(pilot, lambda: isinstance(app.screen, WriteReport))
        await pilot.press("up")
        name = f"{job}-settings-restore-sheet.pdf"
        await until(pilot, lambda: app.screen.file.value == name)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Home))

    assert (tmp_path / "reports" / name).read_bytes().startswith(b"%PDF-")


async def test_a_wrong_ending_a_missing_folder_and_a_file_that_is_there_are_said(
    app_on: Any, until: Any, job: str, shown: Any, tmp_path: Path
) -> None:
    del job
    mine = tmp_path / "reports" / "mine.html"
    mine.write_text("mine")
    app = app_on()
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, Home) and app.screen.list.job)
        await pilot.press("f8")
        await until(pilot, lambda: isinstance(app.screen, WriteReport))
        for name, said in (("a.docx", "Use .html, .pdf"), ("no/a.csv", "cannot be written"),
                           ("mine.html", "Enter again replaces it")):  # fmt: skip
            app.screen.file.value = name
            await pilot.press("enter")
            await until(pilot, lambda said=said: said in shown(app), said)
            assert isinstance(app.screen, WriteReport)
        assert mine.read_text() == "mine"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Home))

    assert mine.read_text().startswith("<!DOCTYPE")


async def test_the_job_screen_writes_its_own_state_and_goes_on(
    app_on: Any, until: Any, job: str, tmp_path: Path
) -> None:
    app = app_on(job)
    async with app.run_test(size=(100, 30)) as pilot:
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        await until(pilot, lambda: app.screen.area is not None)
        await pilot.press("f11")
        await until(pilot, lambda: isinstance(app.screen, WriteReport))
        app.screen.file.value = "state.json"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, JobScreen))

    assert b'"kind": "state sheet"' in (tmp_path / "reports" / "state.json").read_bytes()
