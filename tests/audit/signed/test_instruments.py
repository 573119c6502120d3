"""Instruments cited by a witness, and by who corrects a reading, are held against the register."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from commission.job import moves
from commission.job.instrument import unregistered
from commission.register import instrument_moves

if TYPE_CHECKING:
    from collections.abc import Callable

ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"


@pytest.fixture
def metered(staffed: Any) -> Any:
    """A workshop with a good multimeter and one that is overdue."""
    for serial, due in (("1", "2030-12-31"), ("2", "2025-12-31")):
        wanted = instrument_moves.Wanted("multimeter", serial, due=due)
        staffed.enter(lambda now, by, wanted=wanted: instrument_moves.add(now, wanted, by))
    return staffed


def meters(work: Any) -> tuple[Any, Any]:
    """Return the good one and the one that is overdue."""
    known = work.session.workshop.instruments("multimeter", work.session.now().at)
    good, late = sorted((one for one in known if one.id), key=lambda one: one.serial)
    return good, late


def instruments(shop: Any, lines: list[bytes]) -> list[tuple[str, str, str]]:
    """Return step, person and text of what is found of instruments."""
    return [(one.step, one.by, one.text) for one in shop.found(lines) if one.check == "instruments"]


def test_a_witness_with_a_good_instrument_gives_no_finding(metered: Any, crew: Any) -> None:
    with (work := metered.start(crew)).session:
        good, _ = meters(work)
        work.submit("pack", meter=good, value="54.0")
        work.confirm("pack", meter=good, value="54.1")
        assert metered.said(work.lines) == []


@pytest.mark.parametrize("which", ["overdue", "unregistered"])
def test_a_witness_with_a_bad_instrument_is_found(metered: Any, crew: Any, which: str) -> None:
    with (work := metered.start(crew)).session:
        good, late = meters(work)
        used = late if which == "overdue" else unregistered("multimeter")
        work.submit("pack", meter=good, value="54.0")
        work.confirm("pack", meter=used, value="54.1")
        ((step, by, text),) = instruments(metered, work.lines)
    assert (step, by) == ("pack", BEN)
    assert text == (
        "multimeter-2 was overdue." if which == "overdue" else
        "Read with an instrument that is in no register, although others of its kind are."
    )  # fmt: skip


def test_a_witness_who_calls_an_overdue_instrument_good_is_found(
    metered: Any, crew: Any, forge: Callable[..., Any]
) -> None:
    with (work := metered.start(crew)).session:
        good, late = meters(work)
        work.submit("pack", meter=good, value="54.0")
        work.confirm("pack", meter=replace(late, state="good"), value="54.1")
        ((_, by, text),) = instruments(metered, work.lines)
    assert by == BEN
    assert "recorded as good, due 2025-12-31; the register said overdue" in text
    forger = forge(work.lines, BEN)
    place = forger.where("hold_confirmed", "pack")
    value = forger.entries[place].body["parts"][""]["value"]
    cited = {**value["instrument"], "id": "multimeter-9"}
    forger.change_body(place, parts={"": {"value": {**value, "instrument": cited}}})
    assert instruments(metered, forger.lines())[0][2] == "multimeter-9 was in no register then."


def test_a_reading_corrected_with_a_bad_instrument_is_found_and_a_slip_of_the_pen_is_not(
    metered: Any, crew: Any
) -> None:
    with (work := metered.start(crew)).session:
        good, late = meters(work)
        session = work.session
        work.submit("pack", meter=good, value="54.0")

        def corrected(value: str, meter: Any) -> list[bytes]:
            work.record(lambda: moves.correct(
                session.state, "pack", {"": {"value": value}}, "misread", ADA, session.now(), meter
            ))  # fmt: skip
            return list(work.lines)

        assert instruments(metered, corrected("54.1", None)) == []
        ((step, by, text),) = instruments(metered, corrected("54.2", late))
        assert (step, by, text) == ("pack", ADA, "multimeter-2 was overdue.")
        assert len(instruments(metered, corrected("54.3", None))) == 1


def test_a_reading_corrected_after_its_calibration_ran_out_was_good_when_it_was_taken(
    metered: Any, crew: Any
) -> None:
    with (work := metered.start(crew)).session:
        session = work.session
        work.submit("pack", meter=meters(work)[0], value="54.0")
        metered.wait(6 * 365 * 86_400)
        work.record(lambda: moves.correct(
            session.state, "pack", {"": {"value": "54.1"}}, "misread", ADA, session.now()
        ))  # fmt: skip
        assert instruments(metered, work.lines) == []
