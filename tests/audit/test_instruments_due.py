"""Instruments as they stand on a day: overdue, failed, due soon; the same for screen and prompt."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from commission.audit.instruments_due import instruments_due
from commission.audit.overview import Overview
from commission.cli.overview import lines
from commission.register.instrument import Calibration, Checked, Instrument
from commission.register.state import Point, Register
from commission.tui.audit.overview_rows import views

POINT: Final = Point(1, "2030-01-01T00:00:00.000000Z")
HEADING: Final = "Instruments overdue, failed their check, or due within 30 days"


def meter(name: str, due: str) -> Instrument:
    held = (Calibration(POINT, "2029-12-01", due),)
    return Instrument(name, "multimeter", "", f"S-{name}", POINT, ((POINT, ()),), held)


def registered(*every: Instrument) -> Register:
    return Register(instruments={one.id: one for one in every})


BAD: Final = Checked(Point(2, "2030-02-01T00:00:00.000000Z"), "Ada", good=False, text="5 % off")
BENCH: Final = registered(
    meter("later", "2031-06-06"),
    meter("unasked", ""),
    meter("soon", "2031-06-05"),
    meter("over", "2031-05-05"),
    replace(meter("dropped", "2031-07-01"), checks=(BAD,)),
    replace(meter("gone", "2031-01-01"), retired=POINT),
)


def test_those_in_use_stand_by_their_last_day_with_what_is_wrong_in_words() -> None:
    found = instruments_due(BENCH, "2031-05-06")

    assert [(one.instrument.id, one.says, one.needs_care) for one in found] == [
        ("over", "! OVERDUE", True),
        ("soon", "due soon", True),
        ("later", "good", False),
        ("dropped", "! FAILED ITS CHECK", True),
        ("unasked", "good", False),
    ]


def test_on_its_last_day_an_instrument_is_still_good_and_due_soon() -> None:
    (found,) = instruments_due(registered(meter("one", "2031-05-05")), "2031-05-05")

    assert (found.standing, found.is_soon) == ("good", True)


def test_a_bench_without_a_register_has_none() -> None:
    assert instruments_due(None, "2031-05-06") == ()


def test_the_command_line_names_those_that_need_care_and_the_screen_shows_each() -> None:
    day = "2031-05-06"
    said = list(lines(Overview(), instruments_due(BENCH, day)))
    at = said.index(HEADING)
    assert said[at + 1 : at + 4] == [
        "  2031-05-05  ! OVERDUE  over (multimeter, S-over)",
        "  2031-06-05  due soon  soon (multimeter, S-soon)",
        "  2031-07-01  ! FAILED ITS CHECK  dropped (multimeter, S-dropped)",
    ]
    (view,) = (one for one in views(Overview(), BENCH, day) if one.name == "Instruments")
    assert [row[:3] for row in view.rows] == [
        ("2031-05-05", "! OVERDUE", "over"), ("2031-06-05", "due soon", "soon"),
        ("2031-06-06", "good", "later"), ("2031-07-01", "! FAILED ITS CHECK", "dropped"),
        ("none asked", "good", "unasked"),
    ]  # fmt: skip


def test_where_none_needs_care_the_command_line_says_so() -> None:
    said = list(lines(Overview(), ()))

    assert said[said.index(HEADING) + 1] == "  none"


def test_programs_get_them_all() -> None:
    given = [one.to_json() for one in instruments_due(BENCH, "2031-05-06")]

    assert given[1] == {
        "id": "soon", "kind": "multimeter", "label": "", "serial": "S-soon",
        "due": "2031-06-05", "standing": "good", "due_soon": True,
    }  # fmt: skip
    assert [one["due"] for one in given][-1] is None
