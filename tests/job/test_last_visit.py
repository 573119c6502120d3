"""This bike's settings as left on its last visit against as found now."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job import moves
from commission.job.last_visit import Since, since_last_visit, summary

if TYPE_CHECKING:
    from collections.abc import Callable

SETTINGS: list[dict[str, Any]] = [
    {"id": "amps", "label": "Limit", "type": "quantity", "unit": "A", "equal_within": "2[%]",
     "intended": "100[A]"},
    {"id": "way", "label": "Direction", "type": "choice", "choices": ["normal", "reversed"],
     "intended": "reversed"},
    {"id": "angle", "label": "Angle", "type": "quantity", "unit": "deg", "circular": True,
     "equal_within": "1[deg]"},
]  # fmt: skip
STEPS: list[dict[str, Any]] = [
    {"kind": "read_back", "id": "found", "settings": "all"},
    {"kind": "write", "id": "set", "settings": ["amps", "way"]},
    {"kind": "power_cycle", "id": "proof", "cycle": "key", "off_for": "10[s]"},
]


def give(told: Any, step: str, **typed: str) -> None:
    for draft in moves.submit(told.state, step, typed, "Ada", told.now()):
        told.tell(draft.kind, draft.step, draft.body, draft.by, draft.attempt)


def finished(told: Callable[..., Any]) -> Any:
    job = told(*STEPS, settings=SETTINGS)
    give(job, "found", amps="80", way="normal", angle="359.8")
    give(job, "set", amps="100", way="reversed")
    give(job, "proof", value="done")
    job.wait(10)
    give(job, "proof", value="done")
    give(job, "proof", amps="100", way="normal")  # the direction reverted
    return job


def test_what_differs_stands_first_by_the_closeness_declared(told: Callable[..., Any]) -> None:
    then, now = finished(told), told(*STEPS, settings=SETTINGS)
    give(now, "found", amps="101", way="reversed", angle="0.1")
    lines = since_last_visit(then.state, now.state)
    assert [(line.setting, line.left, line.found, line.since) for line in lines] == [
        ("way", "normal", "reversed", Since.DIFFERS),  # as left after the power cycle
        ("amps", "100 A", "101 A", Since.SAME),  # within 2 %
        ("angle", "359.8 deg", "0.1 deg", Since.SAME),  # as read, never written; around the circle
    ]
    assert summary(lines) == "1 differs, 2 as left. Direction: left normal, found reversed."


def test_what_is_not_read_yet_or_was_not_known_then_is_told_apart(
    told: Callable[..., Any],
) -> None:
    then = told(STEPS[0], settings=SETTINGS[:2])
    give(then, "found", amps="80", way="normal")
    now = told(*STEPS, settings=SETTINGS)
    lines = {line.setting: line.since for line in since_last_visit(then.state, now.state)}
    assert lines == {"amps": Since.NOT_READ, "way": Since.NOT_READ, "angle": Since.NOT_KNOWN}
    assert summary(since_last_visit(then.state, now.state)) == (
        "2 known from then are not read yet."
    )
    nothing = told(STEPS[0], settings=SETTINGS[:2])
    assert summary(since_last_visit(nothing.state, now.state)) == ""


def test_a_setting_that_changed_its_type_differs(told: Callable[..., Any]) -> None:
    other = {"id": "amps", "label": "Limit", "type": "quantity", "unit": "V"}
    then = told(STEPS[0], settings=[other, {"id": "way", "label": "Way", "type": "text"}])
    give(then, "found", amps="80", way="normal")
    now = told(STEPS[0], settings=[SETTINGS[0], {**SETTINGS[1], "type": "yes_no", "choices": [],
                                                 "intended": None}])  # fmt: skip
    give(now, "found", amps="80", way="yes")
    assert {line.since for line in since_last_visit(then.state, now.state)} == {Since.DIFFERS}
