"""Throttle and brake lever: the window from the two ends, and the travel of a reading."""

from __future__ import annotations

from commission.calculators.base import Curve, Example, Input, Output, Outputs, calculator
from commission.errors import CalculationError

LEVER_CAUTION = (
    "A window that begins below the lever's rest voltage drives the wheel without a hand on it: "
    "wheel off the ground until the window is proved."
)


@calculator(
    name="lever-window",
    topic="levers",
    title="Lever window: where travel begins and ends",
    inputs=(
        Input("rest", "V", "voltage at rest", at_least=0, at_most=12, low=0.6, high=1.1),
        Input("full", "V", "voltage at full travel", at_least=0, at_most=12, low=3.0, high=4.5),
        Input("dead_low", "V", "dead band above rest", at_least=0, at_most=12, default=0.1,
              high=0.4),
        Input("dead_high", "V", "dead band below full travel", at_least=0, at_most=12, default=0.1,
              high=0.4),
        Input("exponent", "", "shape of the map", "1: straight; 2: gentle at first", above=0,
              at_most=10, default=1, low=0.5, high=3),
        Input("reading", "V", "a voltage to turn into travel", optional=True, at_least=0,
              at_most=12),
    ),
    outputs=(
        Output("start", "V", "travel begins"),
        Output("end", "V", "travel is complete"),
        Output("span", "V", "voltage from start to end"),
        Output("travel", "%", "travel at the reading", needs="reading"),
        Output("demand", "%", "demand at the reading, after the map", needs="reading"),
    ),
    formula="start = rest + dead band, end = full − dead band; "
    "x = (u − start) / (end − start), held within 0 and 1; demand = x^k",
    conventions=("voltage rises with travel",),
    source="Linear map between two ends; no standard",
    traps=(
        "Wear, temperature and supply move the rest voltage: without a dead band the wheel creeps.",
        "A window wider than what the lever reaches never gives full demand.",
    ),
    cautions=(LEVER_CAUTION,),
    curve=Curve("reading", ("travel", "demand"), 0, 5),
    example=Example(
        {"rest": "0.86 V", "full": "4.19 V", "reading": "2.54 V"},
        {"start": "0.96 V", "end": "4.09 V", "span": "3.13 V", "travel": "50.48 %"},
    ),
)  # fmt: skip
def lever_window(
    rest: float,
    full: float,
    dead_low: float,
    dead_high: float,
    exponent: float,
    reading: float | None,
) -> Outputs:
    """Shrink the window by both dead bands and map a reading into it."""
    start, end = rest + dead_low, full - dead_high
    if start >= end:
        raise CalculationError(
            f"lever-window: travel would begin at {start:g} V and end at {end:g} V.",
            "The full voltage must be above rest by more than both dead bands.",
        )
    outputs: Outputs = {"start": start, "end": end, "span": end - start}
    if reading is not None:
        travel = min(1.0, max(0.0, (reading - start) / (end - start)))
        outputs["travel"] = travel
        outputs["demand"] = travel**exponent
    return outputs
