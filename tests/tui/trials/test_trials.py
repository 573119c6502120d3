"""The table of fault trials: rows by outcome, pilot and words, and all of the row in hand."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING, Any

import pytest

from commission.practice import proving
from commission.practice.faults import shipped
from commission.practice.judging import Finding, Verdict
from commission.practice.matrix import Matrix
from commission.practice.trial import Trial
from commission.tui.trials import rows
from commission.tui.trials.alone import TrialsApp
from commission.tui.trials.choosing import ChooseTrial
from commission.tui.trials.screen import Trials

if TYPE_CHECKING:
    from collections.abc import Callable

KEY = Finding(
    "key_cycles",
    "direction of turning reverted in cycle 1: it reads normal, as before it was written; "
    "written was reversed.",
    "on the stand",
)
DEAD = Finding(
    "dead_between_poles", "64.2 V is 59.2 V above the largest allowed 5.0 V.", "before power"
)
RIDE = Finding("speed_reached", "79.3 km/h is 10.0 km/h above the largest allowed 69.3 km/h.",
               "riding", ("unloaded_run: runs away",))  # fmt: skip
CAUGHT = {
    "direction-not-stored": Verdict("caught", KEY),
    "bleed-resistor-open": Verdict("caught", DEAD),
    "display-in-miles": Verdict("caught", RIDE),
    "found-with-high-start": Verdict("remedied"),
    "lever-sticks": Verdict("escaped", Finding(), ("It brakes with the lever let go.",)),
    "pack-aged": Verdict("escaped", Finding(), ("The bike loses its drive.",)),
    "rotor-board-loose": Verdict("stuck", Finding("odd", "No answer for [odd].", "on the stand")),
}
STEPS = {
    "dead_between_poles": "Measure between the positive and the negative bus terminal",
    "odd": "Look at the [odd] thing",
    "key_cycles": "Switch the key off and on twice",
    "speed_reached": "Read the highest speed of the runs from a satellite speedometer",
}


@pytest.fixture
def matrix() -> Matrix:
    """A small result with every kind of outcome, of an honest and a careless pilot."""
    faults = tuple(fault for fault in shipped().faults if fault.id in CAUGHT)
    trials = [
        Trial(fault.id, seed, "honest", CAUGHT[fault.id]) for fault in faults for seed in (11, 12)
    ]
    trials += [
        Trial(fault.id, 11, "copies", Verdict("escaped", Finding(), ("It is met.",)))
        for fault in faults
    ]
    trials.append(Trial("", 1, "honest", Verdict("sound")))
    trials.append(Trial("", 2, "honest", Verdict("false alarm", RIDE)))
    return Matrix(
        "controller-exchange", 3, "Exchange of a motor controller", STEPS, faults, tuple(trials),
        12.0, ("honest", "copies"), {"honest": "reads", "copies": "copies"},
    )  # fmt: skip


def test_rows_are_narrowed_by_kind_and_by_every_word(matrix: Matrix) -> None:
    assert [row.kind for row in rows.shown(matrix, "honest", "escaped")] == ["escaped"]
    assert [row.cells[1] for row in rows.shown(matrix, "honest", typed="terminal INJURE")] == [
        "bleed-resistor-open"
    ]
    assert rows.counts(matrix, "honest") == {
        "all": 7, "escaped": 1, "stuck": 1, "caught": 3, "mended": 1, "beyond": 1,
        "sound": 2,
    }  # fmt: skip


def test_a_fault_that_can_injure_and_was_found_by_a_rider_is_marked_late(matrix: Matrix) -> None:
    (late,) = rows.shown(matrix, "honest", typed="display-in-miles")
    assert late.cells[3:] == ("speed_reached (late)", "riding")
    assert "Before that: unloaded_run: runs away." in late.detail


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_pictures(
    matrix: Matrix, snapshot: Callable[[Any, str], str], size: tuple[int, int]
) -> None:
    app = TrialsApp(matrix)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.press("down", "down")
        await pilot.pause()
        snapshot(app, f"trials-{size[0]}x{size[1]}")


async def test_keys_narrow_the_table_and_change_the_pilot(
    matrix: Matrix, shown: Callable[[Any], str]
) -> None:
    app = TrialsApp(matrix)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await pilot.press("f4")
        await pilot.pause()
        assert "[escaped 1]" in shown(app)
        assert "lever-sticks" in shown(app)
        assert "bleed-resistor-open" not in shown(app)
        await pilot.press("f5")
        await pilot.pause()
        assert "pilot: copies" in shown(app)
        assert "[escaped 6]" in shown(app)
        await pilot.press(*"miles")
        await pilot.pause()
        assert "display-in-miles" in shown(app)
        assert "lever-sticks" not in shown(app)
        assert isinstance(app.screen, Trials)


async def test_alone_it_ends_with_the_key_that_leaves(matrix: Matrix) -> None:
    app = TrialsApp(matrix)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("f10")
        await pilot.pause()
        assert not app.is_running or app._exit
    assert app.return_code == 0


async def test_nothing_found_says_so_and_text_in_brackets_stays(
    matrix: Matrix, shown: Callable[[Any], str]
) -> None:
    app = TrialsApp(matrix)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        await pilot.press(*"loose")
        await pilot.pause()
        assert "[odd]" in shown(app)
        await pilot.press(*" nosuch")
        await pilot.pause()
        assert "No fault has these words." in shown(app)


async def test_the_search_leads_to_a_procedure_that_is_tried_beside_the_screen(
    matrix: Matrix,
    app_on: Callable[[], Any],
    until: Callable[..., Any],
    snapshot: Callable[[Any, str], str],
    shown: Callable[[Any], str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []
    go_on = threading.Event()

    def prove(loaded: Any, faults: Any, *, told: Callable[[int, int], None], **_: Any) -> Matrix:
        asked.append(loaded.procedure.procedure)
        assert len(faults) > 100
        told(30, 120)
        assert go_on.wait(8)
        return matrix

    monkeypatch.setattr(proving, "prove", prove)
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("f9", *"fault tri", "enter")
        await until(pilot, lambda: isinstance(app.screen, ChooseTrial))
        await pilot.press("enter")
        await until(pilot, lambda: "30 of 120" in shown(app))
        snapshot(app, "trials-choose-80x24")
        go_on.set()
        await until(pilot, lambda: isinstance(app.screen, Trials))
        assert asked == ["controller-exchange"]
        await pilot.press("f10")
        await until(pilot, lambda: isinstance(app.screen, ChooseTrial))


async def test_leaving_ends_the_trials_that_are_being_made(
    app_on: Callable[[], Any],
    until: Callable[..., Any],
    shown: Callable[[Any], str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ended: list[str] = []

    def prove(*_: Any, told: Callable[[int, int], None], **__: Any) -> Matrix:
        try:
            for done in range(10_000):
                told(done, 10_000)
                time.sleep(0.005)
        except BaseException as error:
            ended.append(type(error).__name__)
            raise
        raise AssertionError

    monkeypatch.setattr(proving, "prove", prove)
    app = app_on()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.push_screen(ChooseTrial())
        await until(pilot, lambda: isinstance(app.screen, ChooseTrial))
        await pilot.press("enter")
        await until(pilot, lambda: "of 10000 trials" in shown(app))
        await pilot.press("f10")
        await until(pilot, lambda: ended == ["_LeftError"])
