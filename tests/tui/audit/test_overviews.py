"""The overviews: every view, from a bench's jobs and its register."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.audit.overview import OpenConcession, Overview
from commission.register.instrument import Calibration, Instrument
from commission.register.state import Point, Register
from commission.tui.audit.opening import open_overviews
from commission.tui.audit.overview_rows import views
from commission.tui.audit.overviews import Overviews

if TYPE_CHECKING:
    from commission.record.bench import Bench

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def overviews(until: Any) -> Any:
    async def opened(pilot: Any) -> Any:
        await until(pilot, lambda: pilot.app.bench is not None, "the bench")
        open_overviews(pilot.app)
        await until(
            pilot,
            lambda: isinstance(pilot.app.screen, Overviews) and pilot.app.screen._views,
            "the views",
        )
        return pilot.app.screen

    return opened


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_views_follow_one_another_and_say_how_to_read_them(
    dozen: Bench, add_job: Any, app_on: Any, overviews: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    add_job(dozen, "20310508-ZZZY", fault="speed-limit-not-stored")
    app = app_on()
    async with app.run_test(size=size) as pilot:
        screen = await overviews(pilot)
        seen = []
        for view in screen._views:
            await pilot.pause()
            seen.append(view.name)
            if view.name not in ("By procedure", "Concessions", "Instruments"):
                slug = view.name.casefold().replace(" ", "-")
                snapshot(app, f"overview-{slug}-{size[0]}x{size[1]}")
            await pilot.press("f4")
        assert seen == ["By procedure", "By step", "Time by stage", "Failures", "Settings",
                        "Concessions", "Instruments", "People"]  # fmt: skip
        assert screen._at == 0
        rows = {view.name: view.rows for view in screen._views}
        reverted = {(row[1], row[2]) for row in rows["Settings"]}
        assert reverted == {("speed limit", "1 reverted")}
        assert rows["Failures"]


@pytest.mark.usefixtures("dozen")
async def test_a_record_that_is_not_whole_is_left_out_and_said(
    app_on: Any, overviews: Any, shown: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await overviews(pilot)
        assert "1 NOT WHOLE and left out" in shown(app)


async def test_an_empty_bench_has_views_that_say_so(
    bench: Bench, app_on: Any, overviews: Any, shown: Any
) -> None:
    del bench
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await overviews(pilot)
        for view in screen._views:
            await pilot.pause()
            assert view.empty in " ".join(shown(app).split())
            await pilot.press("right")


def test_people_stand_by_name_and_not_by_their_numbers() -> None:
    from commission.audit.overview import Technician

    found = Overview(technicians={
        name: Technician(name, jobs=jobs, failures=jobs) for name, jobs in
        (("Eve Marsh", 9), ("Ada Nwosu", 1), ("Dag Holm", 5))
    })  # fmt: skip
    people = views(found, None, "2031-05-06")[-1]
    assert [row[0] for row in people.rows] == ["Ada Nwosu", "Dag Holm", "Eve Marsh"]
    assert "compare nobody" in people.says


def test_concessions_and_instruments_stand_by_what_runs_out_first() -> None:
    point = Point(1, "2030-01-01T00:00:00.000000Z")

    def instrument(name: str, due: str) -> Instrument:
        held = (Calibration(point, "2029-12-01", due),)
        return Instrument(name, "multimeter", "", f"S-{name}", point, ((point, ()),), held)

    leave = [
        OpenConcession("20300107-BCDF", "OFR-1", "seal", "Cleo Ek", "no rain", until, over)
        for until, over in (("2032-01-01", False), ("2031-01-01", True))
    ]
    known = {"new": instrument("new", "2032-01-01"), "old": instrument("old", "2031-05-05")}
    found = views(Overview(concessions=leave), Register(instruments=known), "2031-05-06")
    by_name = {view.name: view.rows for view in found}
    assert [row[:2] for row in by_name["Concessions"]] == [("2031-01-01", "! RUN OUT"),
                                                           ("2032-01-01", "")]  # fmt: skip
    assert [row[:3] for row in by_name["Instruments"]] == [
        ("2031-05-05", "! OVERDUE", "old"), ("2032-01-01", "good", "new"),
    ]  # fmt: skip
