"""What the cards look like: their words and how they are styled, at both sizes."""

from __future__ import annotations

from typing import Any

import pytest

SMALL, LARGE = (80, 24), (120, 40)
STEPS = (
    "id: stand\nkind: confirm\ntitle: Put the bike on the stand\nwhy: The wheel turns later.",
    """
id: pack
kind: measure
title: Measure the pack voltage at its terminals
how: Red probe to plus, black probe to minus.
why: Every number of this job rests on it.
unit: V
limits: {min: "42[V]", max: "58.8[V]"}
caution:
  signal: DANGER
  hazard: The pack is live between its terminals.
  consequence: A short circuit burns and blinds.
  avoidance: Insulated probes, nothing metal on hands and arms.
""",
    "id: found\nkind: read_back\ntitle: Read the settings as found\nsettings: all",
    "id: written\nkind: write\ntitle: Write the settings\nsettings: [poles, limit, turning]",
    """
id: wheel
kind: observe
title: Open the throttle until the wheel just turns
options: [turns forward, turns backward, does not turn]
expected: turns forward
""",
    """
id: runs
kind: series
title: Run the sensor detection three times
runs: 3
columns:
  - {id: one, label: sensor 1, unit: deg, circular: true, range: "10[deg]"}
  - {id: two, label: sensor 2, unit: deg, circular: true, range: "10[deg]"}
""",
    """
id: ratio
kind: calculate
title: Compute the ratio from the teeth
calculator: reduction
inputs: {primary: "1.5"}
""",
    """
id: cycle
kind: power_cycle
title: Switch the key off and on
cycle: key
off_for: "10[s]"
observe: [wheel]
""",
    "id: sign\nkind: sign_off\ntitle: Sign that the work was done\nmeaning: done",
)
SETTINGS = """
  - {id: poles, label: pole pairs, type: integer, range: [1, 40], intended: 8}
  - {id: limit, label: phase current limit, type: quantity, unit: A, equal_within: "1[A]",
     intended: "120[A]"}
  - {id: turning, label: direction of turning, type: choice, choices: [normal, reversed],
     intended: reversed}
"""
ANSWERS: list[tuple[str, dict[str, str]]] = [
    ("stand", {"value": "done"}),
    ("pack", {"value": "50.4"}),
    ("found", {"poles": "4", "limit": "100", "turning": "normal"}),
    ("written", {"poles": "8", "limit": "120", "turning": "reversed"}),
    ("wheel", {"value": "turns forward"}),
    ("runs", {"one": "119", "two": "240"}),
    ("runs", {"one": "121", "two": "239"}),
    ("runs", {"one": "120", "two": "240"}),
    ("ratio", {"driving_teeth": "14", "driven_teeth": "42"}),
    ("cycle", {"value": "done"}),
    ("cycle", {"value": "done"}),
    ("cycle", {"poles": "8", "limit": "120", "turning": "reversed"}),
    ("cycle", {"wheel": "turns forward"}),
]


@pytest.mark.parametrize(("name", "answered", "keys"), [
    ("caution", 1, ()),
    ("reading", 1, ("space", "enter", "5", "0", "full_stop", "4")),
    ("table", 3, ("7", "enter", "1", "2", "0")),
    ("seen", 4, ("2",)),
    ("series", 7, ("1", "2", "0", "enter")),
    ("calculation", 8, ("1", "4", "enter", "4", "2")),
    ("cycle", 11, ("8", "enter", "1", "0", "0", "enter")),
    ("signature", 13, ("equals_sign", "enter")),
    ("route", 8, ("f2",)),
    ("ledger", 13, ("f3", "down")),
])  # fmt: skip
@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "120x40"])
async def test_the_card_looks_as_it_did(
    session: Any, show: Any, snapshot: Any, size: tuple[int, int],
    name: str, answered: int, keys: tuple[str, ...],
) -> None:  # fmt: skip
    job = session(*STEPS, settings=SETTINGS, practice=True)
    for step, given in ANSWERS[:answered]:
        job.seconds += 30
        job.submit(step, **given)
    async with show(job, size) as (app, pilot):
        await pilot.press(*keys)
        await pilot.pause()
        text = snapshot(app, f"job-{name}-{size[0]}x{size[1]}")
        assert "commission stopped" not in text
        lines = text.splitlines()
        assert len(lines) == size[1]
        assert "F10" in lines[-1]
