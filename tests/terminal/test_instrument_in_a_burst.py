"""A reading that arrives in one packet, as from a scanner, says what it was taken with."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission.procedure import load
from commission.record.bench import Bench
from commission.register import instrument_moves
from commission.register.instrument_moves import Wanted

if TYPE_CHECKING:
    from pathlib import Path

TEXT = """
procedure: burst
revision: 1
title: A burst
purpose: To type fast.
equipment: [{id: meter, label: multimeter, kind: multimeter, percent: 1, counts: 1}]
stages:
  - id: only
    title: Only stage
    steps:
      - {id: pack, kind: measure, title: Measure the pack, unit: V, instrument: meter}
      - {id: cover, kind: confirm, title: Close the cover}
"""
F8 = "\x1b[19~"
OPEN = "import sys\nfrom commission.tui.app import run\nsys.exit(run(None, *sys.argv[1:]))"


def test_no_reading_is_too_fast_for_its_instrument(terminal: Any, home: Path) -> None:
    with Bench.open(home / "bench.db", "bench-1") as bench:
        for serial in ("4711", "4712"):
            wanted = Wanted("multimeter", serial, due="2099-12-31")
            bench.book.enter(lambda now, one=wanted: (instrument_moves.add(now, one, "w"),))  # type: ignore[misc]
        people = {"Ada": ("technician",)}
        with bench.start(load.loads(TEXT), {"frame": "F1"}, people, "Ada") as session:
            job = session.job
    shown = terminal(terminal.python(OPEN, job))
    shown.wait_for("serial 4711, calibrated until 2099-12-31")
    shown.settle()
    shown.send(*"54.20", F8, "enter")
    shown.wait_for("Close the cover")
    shown.settle()
    shown.send("ctrl+q")
    assert shown.wait_end() == 0
    with Bench.open(home / "bench.db", "bench-1", create=False) as bench:
        answer = bench.look(job).steps["pack"].answer
    assert answer is not None
    given = answer.parts[""]["value"]
    assert (given["typed"], given["instrument"]["serial"]) == ("54.20", "4712")
