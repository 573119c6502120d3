"""The register's instruments on their screen: how each stands, what is entered, what is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input

from commission.job.accuracy import parse_ranges
from commission.register import instrument_moves as moves
from commission.register.instrument_moves import Wanted
from commission.tui.register.instruments import InstrumentsScreen
from commission.tui.signing.form import SecretForm

if TYPE_CHECKING:
    from commission.record.bench import Bench

SIZES = [(80, 24), (120, 40)]
KEYS = {
    " ": "space", "-": "minus", ":": "colon", "%": "percent_sign", ".": "full_stop", "+": "plus",
}  # fmt: skip
RANGES = parse_ranges("60 V: 0.5 % + 2 counts of 0.01; 600 V: 1 % + 3 counts of 0.1; 1 kV: 2 %")


async def type_lines(pilot: Any, *lines: str) -> None:
    for line in lines:
        await pilot.press(*(KEYS.get(one, one) for one in line), "enter")
    await pilot.pause()


@pytest.fixture
def open_instruments(until: Any) -> Any:
    async def opened(pilot: Any) -> None:
        await until(pilot, lambda: pilot.app.bench is not None, "the bench")
        await pilot.press("f7")
        await pilot.pause()
        await pilot.press("f7")
        await until(pilot, lambda: isinstance(pilot.app.screen, InstrumentsScreen), "instruments")

    return opened


@pytest.fixture
def equipped(bench: Bench) -> Bench:
    """Four instruments: good, overdue, one whose check failed, one retired."""

    def enter(make: Any) -> None:
        bench.book.enter(lambda now: (make(now),))

    for kind, serial, label, due in (
        ("multimeter", "4711", "bench meter", "2099-12-31"),
        ("multimeter", "4712", "old meter", "2020-12-31"),
        ("torque wrench", "TW 5", "large wrench", "2099-06-30"),
        ("tape measure", "T1", "steel tape", ""),
    ):
        wanted = Wanted(kind, serial, label, RANGES if kind == "multimeter" else (), due)
        enter(lambda now, one=wanted: moves.add(now, one, "workshop"))
    enter(lambda now: moves.check(now, "torque-wrench-1", "reads 6 Nm low", "Ada", good=False))
    enter(lambda now: moves.retire(now, "tape-measure-1", "torn", "workshop"))
    return bench


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_instruments_are_shown_with_how_they_stand(
    equipped: Bench, app_on: Any, open_instruments: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    assert equipped.book.register.instruments
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await open_instruments(pilot)
        text = snapshot(app, f"instruments-{size[0]}x{size[1]}")
        assert "OVERDUE" in text
        assert "FAILED ITS CHECK" in text
        assert "±(0.5 % + 2 counts of 0.01) up to 60 V" in text


async def test_no_instrument_says_what_that_means_and_how_to_begin(
    app_on: Any, open_instruments: Any, snapshot: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_instruments(pilot)
        assert "as sure as their procedure asks" in snapshot(app, "instruments-empty-80x24")


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_one_is_added_by_keys_alone_and_bad_ranges_are_refused(
    bench: Bench, app_on: Any, open_instruments: Any, snapshot: Any, size: tuple[int, int]
) -> None:
    app = app_on()
    async with app.run_test(size=size) as pilot:
        await open_instruments(pilot)
        await pilot.press("f2")
        await pilot.pause()
        await type_lines(pilot, "multimeter", "4711", "", "60 V: exact", "2099-12-31", "Ada")
        assert isinstance(app.screen, SecretForm)
        text = snapshot(app, f"instruments-add-{size[0]}x{size[1]}")
        assert "NOT TAKEN: Range: '60 V: exact' is none." in text
        ranges = app.screen.query_one("#ranges", Input)
        assert ranges.has_focus
        ranges.value = "60 V: 0.5 % + 2 counts of 0.01"
        await pilot.press("enter", "enter", "enter")
        await pilot.pause()
        assert isinstance(app.screen, InstrumentsScreen)
    one = bench.book.register.instruments["multimeter-1"]
    assert (one.serial, one.due, str(one.ranges_now[0])) == (
        "4711", "2099-12-31", "60 V: 0.5 % + 2 counts of 0.01",
    )  # fmt: skip


async def test_calibration_check_ranges_and_retirement_are_entered(
    equipped: Bench, app_on: Any, open_instruments: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_instruments(pilot)
        await pilot.press("down", "f4")
        await pilot.pause()
        await type_lines(pilot, "2025-01-02", "2098-01-02", "C17", "Ada")
        await pilot.press("f5")
        await pilot.pause()
        await type_lines(pilot, "9 V source", "fine", "Ada")
        assert isinstance(app.screen, SecretForm)  # neither good nor bad
        app.screen.query_one("#good", Input).value = "good"
        await pilot.press("enter", "enter")
        await pilot.pause()
        await pilot.press("f6")
        await pilot.pause()
        app.screen.query_one("#ranges", Input).value = "1 kV: 1 %"
        await type_lines(pilot, "", "other leads", "Ada")
        await pilot.press("f8")
        await pilot.pause()
        await type_lines(pilot, "dropped", "Ada")
        await pilot.pause()
    one = equipped.book.register.instruments["multimeter-2"]
    assert one.due == "2098-01-02"
    assert one.last_check is not None
    assert (one.last_check.good, one.last_check.by) == (True, "Ada")
    assert str(one.ranges_now[0]) == "1 kV: 1 %"
    assert one.reason == "dropped"


async def test_a_lead_signs_where_people_are_registered(
    staffed: Bench, app_on: Any, open_instruments: Any
) -> None:
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_instruments(pilot)
        await pilot.press("f2")
        await pilot.pause()
        lines = ("multimeter", "4711", "", "", "", "ben", "correct horse ben")
        await type_lines(pilot, *lines)
        assert isinstance(app.screen, SecretForm)  # Ben is no lead
        lead = app.screen.query_one("#lead", Input)
        assert lead.has_focus
        lead.value = "ada"
        await type_lines(pilot, "")
        app.screen.query_one("#secret", Input).value = ""
        await type_lines(pilot, "correct horse ada")
        assert isinstance(app.screen, InstrumentsScreen)
        await pilot.press("f5")
        await pilot.pause()
        await type_lines(pilot, "9 V source", "good", "ben", "correct horse ben")
        assert isinstance(app.screen, InstrumentsScreen)
    assert staffed.book.register.instruments["multimeter-1"].last_check.by == "ben"  # type: ignore[union-attr]


async def test_they_are_reached_by_the_search(equipped: Bench, app_on: Any, until: Any) -> None:
    assert equipped.book.register.instruments
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.bench is not None, "the bench")
        await pilot.press("f9", *"instruments")
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, InstrumentsScreen), "instruments")


async def test_hostile_texts_stay_texts(bench: Bench, app_on: Any, open_instruments: Any) -> None:
    wanted = Wanted("[red]meter[/]", "[@click=app.quit]1[/]")
    bench.book.enter(lambda now: (moves.add(now, wanted, "[bold]w[/]"),))
    app = app_on()
    async with app.run_test(size=(120, 40)) as pilot:
        await open_instruments(pilot)
        assert isinstance(app.screen, InstrumentsScreen)
        cells = [cell.plain for cell in app.screen.table.get_row_at(0)]
    assert "[red]meter[/]" in cells
    assert "[@click=app.quit]…" in cells
