"""Instruments in the register: who enters what of them, and what they were at any time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.errors import CommissionError, IllegalEntryError, RefusedError
from commission.job.accuracy import parse_ranges
from commission.record.line import parse
from commission.record.signatures import first_fault
from commission.register import instrument_moves as moves
from commission.register.fold import replay
from commission.register.instrument_moves import Wanted

if TYPE_CHECKING:
    from collections.abc import Callable

RANGES = parse_ranges("60 V: 0.5 % + 2 counts of 0.01")
TODAY = "2026-02-25"
"""The day of the book's entries."""


def wanted(serial: str = "4711", **more: Any) -> Wanted:
    return Wanted("multimeter", serial, **{"ranges": RANGES, "due": "2026-12-31", **more})


@pytest.fixture
def metered(book: Any) -> Any:
    """A workshop of nobody registered with one multimeter."""
    book.enter(moves.add(book.register, wanted(), "workshop"))
    return book


def test_a_workshop_without_registered_people_registers_instruments_unsigned(metered: Any) -> None:
    one = metered.register.instruments["multimeter-1"]
    assert (one.kind, one.label, one.serial, one.due) == (
        "multimeter", "multimeter", "4711", "2026-12-31",
    )  # fmt: skip
    assert one.ranges_now == RANGES
    assert not metered.register.has_people


def test_with_people_a_lead_signs_and_anybody_signs_a_check(staffed: Any) -> None:
    draft = moves.add(staffed.register, wanted(), "ada")
    with pytest.raises(IllegalEntryError, match="not signed"):
        staffed.enter(draft)
    with pytest.raises(IllegalEntryError, match="no lead"):
        staffed.enter(moves.add(staffed.register, wanted(), "ben"), staffed.signer("ben"))
    staffed.enter(draft, staffed.signer("ada"))
    check = moves.check(staffed.register, "multimeter-1", "9.00 V source: 9.01 V", "ben", good=True)
    with pytest.raises(IllegalEntryError):
        staffed.enter(check)
    staffed.enter(check, staffed.signer("ben"))
    assert staffed.register.instruments["multimeter-1"].last_check.by == "ben"
    assert first_fault(staffed.lines, [parse(line) for line in staffed.lines], None) is None


def test_nobody_signs_where_nobody_is_registered(book: Any, key_of: Callable[..., Any]) -> None:
    with pytest.raises(IllegalEntryError, match="nobody is registered"):
        book.enter(moves.add(book.register, wanted(), "ada"), key_of("ada"))


def test_what_was_registered_before_people_came_stays(metered: Any) -> None:
    metered.add("ada", "lead")
    assert "multimeter-1" in metered.register.instruments
    with pytest.raises(IllegalEntryError, match="no lead"):
        metered.enter(moves.retire(metered.register, "multimeter-1", "dropped", "workshop"))


def test_calibration_runs_out_after_its_last_day(metered: Any) -> None:
    register, added = metered.register, metered.register.instruments["multimeter-1"].added
    assert not register.is_due("multimeter-1", "2026-12-31T23:59:59.999999Z")
    assert register.is_due("multimeter-1", "2027-01-01T00:00:00.000000Z")
    assert not register.is_due("multimeter-1", "2026-01-01T00:00:00.000000Z")  # not yet there
    assert register.instrument_at("multimeter-1", "2026-01-01T00:00:00.000000Z") is None
    assert register.instrument_at("multimeter-1", added.at) is not None


def test_a_new_certificate_holds_from_its_entry_on(metered: Any) -> None:
    before = metered.register
    draft = moves.calibrate(
        metered.register, "multimeter-1", "2026-02-20", "2028-02-20", "C-17", "workshop", TODAY
    )
    metered.enter(draft)
    late = "2027-06-01T00:00:00.000000Z"
    assert before.is_due("multimeter-1", late)
    assert not metered.register.is_due("multimeter-1", late)
    stood = metered.register.instrument_at("multimeter-1", before.at)
    assert (stood.due, len(stood.calibrations)) == ("2026-12-31", 1)


def test_a_bad_check_speaks_against_it_until_it_is_calibrated(metered: Any) -> None:
    name = "multimeter-1"
    assert metered.register.instruments[name].standing(TODAY) == "good"
    metered.enter(moves.check(metered.register, name, "reads 2 V low", "workshop", good=False))
    assert metered.register.instruments[name].standing(TODAY) == "failed its check"
    metered.enter(moves.calibrate(
        metered.register, name, "2026-02-24", "2027-02-24", "C-18", "workshop", TODAY
    ))  # fmt: skip
    assert metered.register.instruments[name].standing(TODAY) == "good"
    assert metered.register.instruments[name].standing("2027-02-25") == "overdue"


def test_no_calibration_is_asked_of_an_instrument_without_a_day(book: Any) -> None:
    book.enter(moves.add(book.register, Wanted("tape measure", "T1"), "workshop"))
    assert book.register.instruments["tape-measure-1"].standing("2099-01-01") == "good"


def test_ids_and_serial_numbers_are_not_taken_twice(metered: Any) -> None:
    with pytest.raises(RefusedError, match="registered as multimeter-1"):
        moves.add(metered.register, wanted(), "workshop")
    metered.enter(moves.retire(metered.register, "multimeter-1", "dropped", "workshop"))
    with pytest.raises(RefusedError, match="never used again"):
        moves.add(metered.register, wanted(id="multimeter-1"), "workshop")
    again = metered.enter(moves.add(metered.register, wanted(), "workshop"))  # came back repaired
    assert list(again.instruments) == ["multimeter-1", "multimeter-2"]
    assert [one.id for one in again.instruments_of("  MultiMeter")] == ["multimeter-2"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda now: moves.retire(now, "nothing", "gone", "w"), "no instrument"),
        (lambda now: moves.retire(now, "multimeter-1", " ", "w"), "Reason"),
        (lambda now: moves.check(now, "multimeter-1", "", "w", good=True), "What it showed"),
        (lambda now: moves.set_ranges(now, "multimeter-1", RANGES, "why", "w"), "just these"),
        (lambda now: moves.calibrate(now, "multimeter-1", "", "", "", "w", TODAY), "nothing"),
        (
            lambda now: moves.calibrate(now, "multimeter-1", "20.2.2026", "", "", "w", TODAY),
            "not a day",
        ),
        (
            lambda now: moves.calibrate(now, "multimeter-1", "2026-02-26", "", "", "w", TODAY),
            "has not come",
        ),
        (
            lambda now: moves.calibrate(
                now, "multimeter-1", "2026-02-20", "2026-02-19", "", "w", TODAY
            ),
            "is not after",
        ),
        (lambda now: moves.add(now, wanted("5", due="31.12.2026"), "w"), "not a day"),
        (lambda now: moves.add(now, wanted(" "), "w"), "Serial number"),
        (lambda now: moves.add(now, wanted("5", label="\x1b[2J"), "w"), "Label"),
        (lambda now: moves.add(now, wanted("5", id="No Id"), "w"), "Id"),
    ],
)
def test_what_cannot_be_entered_is_refused(
    metered: Any, change: Callable[..., Any], says: str
) -> None:
    with pytest.raises(RefusedError, match=says):
        change(metered.register)


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("instrument_added", {"id": "x"}),
        ("instrument_added", {
            "id": "x", "kind": "k", "label": "l", "serial": "s", "due": "", "ranges": [
                {"unit": "V", "low": "0", "high": 1, "percent": 1, "counts": 0, "resolution": None}
            ],
        }),
        ("instrument_calibrated", {"instrument": "multimeter-1", "on": "", "due": ""}),
        ("instrument_calibrated", {"instrument": ["x"], "on": "2026-01-01", "due": ""}),
        ("instrument_checked", {"instrument": "multimeter-1", "good": "yes", "text": "x"}),
        ("instrument_ranged", {"instrument": "multimeter-1", "ranges": "none", "reason": "x"}),
        ("instrument_retired", {"instrument": "multimeter-1", "reason": ""}),
        ("instrument_retired", {"instrument": "other", "reason": "x"}),
    ],
)  # fmt: skip
def test_no_legal_register_has_a_malformed_entry(
    metered: Any, kind: str, body: dict[str, Any]
) -> None:
    from commission.job.entry import Draft

    before = metered.register
    with pytest.raises(CommissionError):
        metered.enter(Draft(kind, "workshop", body={**body, "signature": None}))
    assert metered.register == before


WISHES = st.lists(
    st.tuples(st.sampled_from(("add", "calibrate", "bad", "good", "range", "retire")),
              st.integers(1, 3)),
    max_size=25,
)  # fmt: skip


@settings(max_examples=60)
@given(wishes=WISHES)
def test_what_an_instrument_was_is_what_it_was_said_to_be_then(
    new_book: Any, wishes: list[tuple[str, int]]
) -> None:
    book = new_book()
    for turn, (wish, number) in enumerate(wishes):
        name, now = f"multimeter-{number}", book.register
        made: dict[str, Callable[[], Any]] = {
            "add": lambda: moves.add(now, wanted(f"s{turn}"), "w"),  # noqa: B023  called at once
            "calibrate": lambda: moves.calibrate(
                now, name, "2026-02-01", f"2027-01-{turn + 1:02}", "", "w", TODAY  # noqa: B023
            ),
            "bad": lambda: moves.check(now, name, "reads low", "w", good=False),  # noqa: B023
            "good": lambda: moves.check(now, name, "reads true", "w", good=True),  # noqa: B023
            "range": lambda: moves.set_ranges(
                now, name, parse_ranges(f"{turn + 1} V: 1 %"), "other leads", "w"  # noqa: B023
            ),
            "retire": lambda: moves.retire(now, name, "worn", "w"),  # noqa: B023
        }  # fmt: skip
        try:
            book.enter(made[wish]())
        except RefusedError:
            continue
    for then in book.history:
        for name, one in then.instruments.items():
            assert book.register.instrument_at(name, then.at) == one
    assert replay(parse(line) for line in book.lines) == book.register
