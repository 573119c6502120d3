"""What the last lines of the record say, in words of the trade and within 80 columns."""

from __future__ import annotations

from typing import Any

import pytest

from commission.job.entry import GENESIS, Clock, Entry
from commission.tui.job.body_words import body_words
from commission.tui.job.told import entry_said, piece_words, shortened


def entry(kind: str, step: str, body: dict[str, Any]) -> Entry:
    at = "2031-05-06T08:00:00.000000Z"
    clock = Clock("boot", 1)
    return Entry("job", 7, at, clock, "bench", "Ada", kind, step, 1, body, GENESIS)


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("1:off", "cycle 1 power off"),
        ("2:bus", "cycle 2 bus voltage"),
        ("1:on", "cycle 1 power on"),
        ("1:read-12", "cycle 1 settings"),
        ("2:observe", "cycle 2 seen"),
        ("cells-3", "settings"),
        ("run-2", "run 2"),
        ("point-5", "point 5"),
        ("start", "begun"),
    ],
)
def test_a_piece_is_named_as_a_technician_would(part: str, said: str) -> None:
    assert piece_words(part) == said


def test_a_setting_is_said_by_its_label_and_a_yes_is_not_left_out() -> None:
    titles = {"as_found": "Read the settings", "brake_cut": "brake cuts the drive"}
    read = entry("part", "as_found", {"part": "cells-6", "given": {"brake_cut": True}})

    assert entry_said(read, titles) == "Read the settings, settings: brake cuts the drive yes"


def test_what_was_confirmed_needs_no_value() -> None:
    off = entry("part", "key", {"part": "1:off", "given": {"value": True}})

    assert entry_said(off, {"key": "Switch off"}) == "Switch off, cycle 1 power off"


def test_observations_of_a_cycle_are_said_by_their_titles() -> None:
    seen = entry(
        "part", "key", {"part": "1:observe", "given": {"mode": "low", "wheel": "turns forward"}}
    )

    said = entry_said(seen, {"key": "Key", "mode": "Read the mode", "wheel": "Turn the wheel"})
    assert said == "Key, cycle 1 seen: Read the mode low, Turn the wheel turns forward"


def test_a_long_title_gives_way_to_what_was_given() -> None:
    titles = {"stand": "Stand the bike on a work stand that holds it by the frame", "x": "Short"}
    short = shortened(titles, 32)

    assert short == {"stand": "Stand the bike on a work stand…", "x": "Short"}
    done = entry("acknowledged", "stand", {})
    assert entry_said(done, short) == "Stand the bike on a work stand…: caution read"


def test_a_hold_point_says_how_it_went_with_both_readings() -> None:
    compared = "The witness read 53.2 V, the first was 53.17 V, 0.03 V apart: they agree."
    titles = {"pack": "Pack voltage"}
    read = {"mode": "independent", "agrees": True, "reason": "", "because": compared}
    assert (
        entry_said(entry("hold_confirmed", "pack", read), titles)
        == f"Pack voltage: hold point confirmed. {compared}"
    )
    refused = {"mode": "concurrent", "agrees": False, "reason": "dial not at zero"}
    assert (
        entry_said(entry("hold_confirmed", "pack", refused), titles)
        == "Pack voltage: hold point REFUSED. dial not at zero"
    )


def test_a_hold_point_whose_body_is_withheld_says_no_outcome() -> None:
    assert entry_said(entry("hold_confirmed", "pack", {}), {"pack": "Pack"}) == "Pack: hold point"


def test_what_an_entry_holds_is_told_in_words() -> None:
    given = {"typed": "53.2", "unit": "V", "instrument": {"id": "dmm-1"}}
    body = {
        "mode": "independent",
        "parts": {"": {"value": given}},
        "judged": {"min": 1.0},
        "agrees": True,
        "reason": "",
        "signature": None,
    }
    assert body_words(body) == (
        "mode: independent\ngiven: 53.2 V (read with dmm-1)\nagrees: yes"
    )  # fmt: skip
