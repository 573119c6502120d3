"""Clocks that were set, and waits that were cut short by one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.job.entry import Clock
from commission.record.clocks import to_text, to_us

if TYPE_CHECKING:
    from collections.abc import Callable

ADA, BEN, CLEO = "Ada Nwosu", "Ben Ito", "Cleo Ek"


def moved(at: str, seconds: float) -> str:
    return to_text(to_us(at) + round(seconds * 1e6))


@pytest.mark.parametrize("clock", ["wall", "machine", "both"])
def test_an_off_period_cut_short_afterwards_is_found(
    staffed: Any, crew: Any, forge: Callable[..., Any], clock: str
) -> None:
    with (work := staffed.start(crew)).session:
        forger = forge(work.do_all(), ADA, BEN, CLEO)
    off = forger.where("part", "proved", "1:off")
    entry = forger.entries[off]
    if clock != "machine":
        forger.change(off, at=moved(entry.at, 40))
    if clock != "wall":
        forger.change(off, clock=Clock(entry.clock.boot, entry.clock.ns + 40_000_000_000))
    ((check, severity, text),) = staffed.said(forger.lines())
    assert (check, severity) == ("whole", "critical")
    if clock == "both":
        assert "off for 50.0 s; it has to be off for 60.0 s" in text
    else:
        assert "no clock_jump says so" in text


def test_two_benches_whose_clocks_differ_say_so_and_are_no_fault(staffed: Any, crew: Any) -> None:
    with (work := staffed.start(crew)).session:
        work.to_the_write()
        staffed.us += 3_600_000_000  # as a second bench that is an hour ahead would date it
        work.to_the_end()
        lines = work.lines
    found = staffed.found(lines)
    assert [one.check for one in found] == ["clock-jump"]
    assert "3630 s, the machine's 30 s" in found[0].text
