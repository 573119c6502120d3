"""What a card shows of itself in 24 lines, and after the window has changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.job import moves
from commission.tui.job.cell_rows import COLUMNS, cell_rows

if TYPE_CHECKING:
    from collections.abc import Callable

LAST = "id: last\nkind: confirm\ntitle: Put the tools away"
PARTS = """
id: parts
kind: identify
title: Read the numbers on the parts
fields:
  - {id: a, label: frame number}
  - {id: b, label: new controller}
  - {id: c, label: old controller}
  - {id: d, label: motor}
  - {id: e, label: pack}
"""
MANY = PARTS + "".join(f"  - {{id: m{n}, label: more {n}}}\n" for n in range(4))
TURNING = """
id: wheel
kind: observe
title: Open the throttle a little
options: [turns forward, turns backward]
expected: turns forward
caution:
  signal: WARNING
  hazard: The wheel turns under power.
  consequence: Hands are drawn in.
  avoidance: One hand is on the disconnector.
"""


async def comes(pilot: Any, seen: Callable[[], bool]) -> bool:
    """Return whether something comes into sight, however busy the machine is."""
    for _ in range(100):
        if seen():
            return True
        await pilot.pause(0.05)
    return False


async def test_five_fields_are_all_in_sight_in_a_short_window(session: Any, show: Any) -> None:
    async with show(session(PARTS, LAST)) as (app, _):
        text = app.text()

    for label in ("frame number", "new controller", "old controller", "motor", "pack"):
        assert f"  {label}: …" in text


async def test_a_window_that_grows_shows_all_fields_at_once(session: Any, show: Any) -> None:
    async with show(session(MANY, LAST)) as (app, pilot):
        assert "more 3: …" not in app.text()
        await pilot.resize_terminal(120, 40)
        assert await comes(pilot, lambda: "more 3: …" in app.text())
        await pilot.resize_terminal(80, 24)
        assert await comes(pilot, lambda: "more 3: …" not in app.text())


async def test_how_to_avoid_the_hazard_stays_while_the_wheel_turns(session: Any, show: Any) -> None:
    async with show(session(TURNING, LAST)) as (app, pilot):
        await pilot.press("space", "enter")
        assert await comes(pilot, lambda: "turns backward" in app.text())
        text = app.text()

    assert "One hand is on the disconnector." in text
    assert "Hands are drawn in." not in text


SETTINGS = """
  - {id: poles, label: pole pairs, type: integer, range: [1, 40]}
"""
READ = "id: found\nkind: read_back\ntitle: Read the settings as found\nsettings: all"
CYCLE = """
id: key
kind: power_cycle
title: Switch the key off and on
cycle: key
cycles: 1
off_for: "1[s]"
settings: all
"""


def test_a_cycle_shows_a_setting_that_nobody_wrote_as_it_was_found(session: Any) -> None:
    job = session(READ, CYCLE, LAST, settings=SETTINGS)
    job.submit("found", poles="7")
    job.submit("key", value="done")
    job.seconds += 5
    job.submit("key", value="done")

    asking = moves.asking(job.state, "key", job.now())
    (row,) = cell_rows(job.state, asking, "power_cycle")
    assert COLUMNS["power_cycle"][1] == "before"
    assert row.values == ("-", "7", "-")
