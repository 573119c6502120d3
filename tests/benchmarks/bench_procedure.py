"""Loading and checking a long procedure, against the C parser alone."""

from __future__ import annotations

import json
import time
from typing import Any

import yaml

from commission.procedure import load
from commission.procedure.check import check

STEPS = 1000


def long_procedure() -> str:
    """Return a procedure of a thousand measurements, written as an author would."""
    steps = "\n".join(
        f"""\
      - id: reading_{number}
        kind: measure
        title: Measure the voltage at terminal {number}
        why: A loose terminal shows here first.
        how: Probe the terminal and the frame, wait until the display is steady.
        unit: V
        limits: {{min: "series * 3.0[V]", max: "series * 4.2[V]"}}
        on_fail: {{retry: 1, then: stop}}
        probe: terminal.{number}"""
        for number in range(STEPS)
    )
    return f"""\
procedure: long
revision: 1
title: A long procedure
purpose: To be loaded and checked.
facts:
  - {{id: series, label: Cells in series, type: integer, range: [10, 32]}}
stages:
  - id: only
    title: The only stage
    steps:
{steps}
"""


def _best(run: Any, times: int = 5) -> float:
    best = float("inf")
    for _ in range(times):
        begun = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - begun)
    return best


def bench_load_and_check() -> dict[str, Any]:
    """Load and check 1,000 steps; the floor is CSafeLoader over the same text."""
    text = long_procedure()
    assert not check(load.loads(text)), json.dumps([str(p) for p in check(load.loads(text))][:3])
    measured = _best(lambda: check(load.loads(text)))
    floor = _best(lambda: yaml.load(text, yaml.CSafeLoader))
    return {
        "name": "load and check 1,000 steps", "measured": measured, "floor": floor, "unit": "s",
        "ratio": measured / floor, "aim": 5,
    }  # fmt: skip
