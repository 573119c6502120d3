"""The words of a procedure: cautions without actions, one action per step, nothing vague.

The rules follow shared/requirements in the project's design: DOE-STD-1029-92 (from memory), ANSI
Z535.6 and IEC/IEEE 82079-1.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from commission.procedure.check import check
from commission.procedure.load import loads

if TYPE_CHECKING:
    from commission.procedure.problems import Problem

HEAD = "procedure: x\nrevision: 1\ntitle: x\npurpose: x\nstages:\n- id: s\n  title: s\n  steps:\n"
GOOD = {
    "signal": "WARNING",
    "hazard": "The pack's terminals are live.",
    "consequence": "Electric shock and burns.",
    "avoidance": "Wear gloves; keep one hand away.",
}


def told(title: str = "Look", how: str = "", **caution: str) -> list[Problem]:
    lines = [f"  - kind: confirm\n    id: a\n    title: '{title}'\n"]
    if how:
        lines.append(f"    how: '{how}'\n")
    if caution:
        lines.append("    caution:\n")
        parts = {**GOOD, **caution}
        lines.extend(f'      {key}: "{value}"\n' for key, value in parts.items())
    loaded = loads(HEAD + "".join(lines), "f")
    assert loaded.procedure is not None, loaded.problems
    return list(check(loaded))


@pytest.mark.parametrize("key", ["hazard", "consequence"])
@pytest.mark.parametrize(
    ("words", "action"),
    [
        ("Switch off the key.", "Switch"),
        ("The pack is live. Disconnect it first.", "Disconnect"),
        ("Burns; remove the fuse.", "remove"),
        ("Shock. Do not touch the terminals.", "Do not"),
        ("Shock. Never open the case.", "Never"),
        ("Shock. Then close the lid.", "close the"),
        ("Make sure nobody is hurt by a shock.", "Make sure"),
    ],
)
def test_an_action_inside_a_hazard_or_consequence_is_refused(
    key: str, words: str, action: str
) -> None:
    problems = [each for each in told(**{key: words}) if "an action inside" in each.what]
    assert [(each.got, each.severity) for each in problems] == [(action, "error")]
    assert problems[0].line == {"hazard": 14, "consequence": 15}[key]


@pytest.mark.parametrize(
    "words",
    [
        "Charge stays in the capacitors and gives a shock.",
        "Contact with the terminals burns the skin.",
        "Open terminals are live: shock.",
        "The wheel can start by itself and catch hands.",
        "A shock that stops the heart.",
        "Current through a wrench; burns.",
    ],
)
def test_a_statement_is_no_action(words: str) -> None:
    assert told(hazard=words) == []


@pytest.mark.parametrize(
    ("words", "count"),
    [
        ("Switch the key on.", 1),
        ("Stand clear, then start the motor.", 1),
        ("Press the button.", 1),
        ("Wear gloves and keep hands away from the wheel.", 0),
        ("Never open the throttle.", 0),
        ("Only a licensed electrician works here.", 0),
    ],
)
def test_avoidance_advises_but_does_not_operate(words: str, count: int) -> None:
    problems = [each for each in told(avoidance=words) if "operate" in each.what]
    assert len(problems) == count


@pytest.mark.parametrize(
    ("signal", "consequence", "words"),
    [
        ("CAUTION", "The controller is destroyed.", "harm to equipment alone"),
        ("WARNING", "The threads strip.", "harm to equipment alone"),
        ("NOTICE", "The controller is destroyed.", ""),
        ("NOTICE", "Burns of the hands.", "NOTICE for harm to people"),
        ("CAUTION", "Bruised fingers.", ""),
        ("CAUTION", "The fuse blows and hot metal hits the eyes.", ""),
    ],
)
def test_the_signal_word_fits_the_harm(signal: str, consequence: str, words: str) -> None:
    problems = told(signal=signal, hazard="A loose bolt.", consequence=consequence)
    assert [words in each.what for each in problems] == ([True] if words else [])
    assert all(each.is_error and each.line == 13 for each in problems)


@pytest.mark.parametrize(
    ("title", "second"),
    [
        ("Open the lid and measure the voltage", "measure"),
        ("Lift the bike and turn the wheel", "turn the"),
        ("Disconnect the pack; remove the fuse", "remove"),
        ("Read the plate, then write the number down", "write"),
        ("Switch the key off and on", ""),
        ("Measure voltage and current", ""),
        ("Compare the open and close times", ""),
        ("Check brake and stand switch", ""),
    ],
)
def test_a_title_is_one_action(title: str, second: str) -> None:
    problems = told(title)
    assert [(each.got, each.severity) for each in problems] == (
        [(second, "warning")] if second else []
    )


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("Tighten as needed.", "as needed"),
        ("Wait until it is sufficiently cool.", "sufficiently"),
        ("It reads approximately 5 V.", "approximately"),
        ("It reads about 5 V.", "about 5"),
        ("Hand-tight is right.", "Hand-tight"),
        ("Tighten to 9 Nm.", ""),
        ("Think about the reading.", ""),
    ],
)
def test_vague_words_are_warned_of(how: str, words: str) -> None:
    assert [(each.got, each.severity) for each in told(how=how)] == (
        [(words, "warning")] if words else []
    )


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("It is at least 10.", "at least 10"),
        ("It is below 5, or the meter is wrong.", "below 5"),
        ("It is between 3 and 5.", "between 3 and 5"),
        ("It is at least 10 V.", ""),
        ("It is below 5 % of it.", ""),
        ("It is below 5 mΩ.", ""),
        ("Do it at least 3 times.", ""),
        ("It is above 3.5 V and below 4.", "below 4"),
    ],
)
def test_a_bound_in_words_has_a_unit(how: str, words: str) -> None:
    assert [(each.got, each.what) for each in told(how=how)] == (
        [(words, "a limit without a unit")] if words else []
    )
