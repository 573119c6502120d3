"""Probes that no virtual bike knows, and options that no outcome matches: told, never refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.procedure.check import check, is_usable
from commission.procedure.load import loads

if TYPE_CHECKING:
    from commission.procedure.problems import Problem

HEAD = """\
procedure: test
revision: 1
title: A test
purpose: To test.
stages:
  - id: one
    title: One
    steps:
"""


def told(step: str) -> tuple[Problem, ...]:
    """Return what is told of one step's probe."""
    found = check(loads(f"{HEAD}      - {step}\n"))
    assert is_usable(found), found
    return found


@pytest.mark.parametrize(
    "step",
    [
        "{id: a, kind: measure, title: Read it, unit: V, probe: bus.voltage}",
        "{id: a, kind: measure, title: Read it, unit: V}",
        "{id: a, kind: confirm, title: Lift it, probe: bike.on_stand}",
        "{id: a, kind: choose, title: Pick one, options: [drags a lot, free], probe: wheel.free}",
        "{id: a, kind: attach, title: Keep it, what: photographs, probe: bike.photos}",
    ],
)
def test_a_known_probe_is_not_told(step: str) -> None:
    assert told(step) == ()


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("{id: a, kind: measure, title: Read it, unit: V, probe: bus.voltag}",
         "Did you mean bus.voltage"),
        ("{id: a, kind: measure, title: Read it, unit: V, probe: wheel.free}",
         "no probe of a number is called so"),
        ("{id: a, kind: confirm, title: Lift it, probe: bike.on_stnd}", "bike.on_stand"),
        ("{id: a, kind: calculate, title: Add it, calculator: rollout, probe: wheel.rollot}",
         "Did you mean wheel.rollout"),
    ],
)  # fmt: skip
def test_an_unknown_probe_is_a_warning_with_the_nearest(step: str, words: str) -> None:
    found = told(step)
    assert found
    assert all(each.severity == "warning" and each.line == 9 for each in found)
    assert words in str(found[0])


def test_an_option_that_nothing_matches_is_a_warning_with_the_words_it_could_hold() -> None:
    step = "{id: a, kind: choose, title: Pick one, options: [turns freely, odd], probe: wheel.free}"
    (found,) = told(step)
    assert found.severity == "warning"
    assert found.got == "odd"
    assert "drags: drag" in found.expected
