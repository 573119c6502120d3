"""Lever sensors under test: broken wires, two channels, and the straightness of a sweep."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator
from commission.calculators.levers import LEVER_CAUTION
from commission.errors import CalculationError

_ROUNDING: Final = 1e-12
LEAST_SPAN: Final = 1e-3
"""Volt (or whatever is swept); a lever that moves its signal less does not work."""


@calculator(
    name="lever-faults",
    topic="levers",
    title="Whether broken lever wires are detected",
    inputs=(
        Input("rest", "V", "voltage at rest", at_least=0, at_most=12, low=0.6, high=1.1),
        Input("full", "V", "voltage at full travel", at_least=0, at_most=12, low=3.0, high=4.5),
        Input("low_limit", "V", "below it is a fault", at_least=0, at_most=12, default=0.5,
              low=0.2, high=0.8),
        Input("high_limit", "V", "above it is a fault", at_least=0, at_most=12, default=4.5,
              low=4.0, high=4.8),
        Input("supply", "V", "supply of the sensor", above=0, at_most=12, default=5, low=4.8,
              high=5.2),
        Input("pull", "", "resistor at the controller's input", kind="choice",
              choices=("down", "up"), default="down"),
    ),
    outputs=(
        Output("signal_open", "", "signal wire open is detected", kind="truth"),
        Output("signal_to_supply", "", "signal shorted to supply is detected", kind="truth"),
        Output("signal_to_ground", "", "signal shorted to ground is detected", kind="truth"),
        Output("ground_open", "", "ground wire open is detected", kind="truth"),
        Output("supply_open", "", "supply wire open is detected", kind="truth"),
        Output("all_detected", "", "every one is", kind="truth"),
        Output("margin_low", "V", "rest above the low limit"),
        Output("margin_high", "V", "full below the high limit"),
    ),
    formula="open signal: 0 V (pull-down) or supply (pull-up); short to supply or open ground: "
    "supply; short to ground or open supply: 0 V; detected outside the limits",
    source="Thresholds 0.5 V and 4.5 V as published for 5 V pedal sensors (0.5 V seen, 4.5 V from "
    "memory)",
    traps=("An open ground floats the signal up to the supply: full throttle without a high limit.",
           "Limits inside the lever's own travel stop a healthy bike."),
    cautions=(LEVER_CAUTION, "Prove each wire by pulling it, wheel off the ground."),
    example=Example({"rest": "0.86 V", "full": "4.19 V"},
                    {"margin_low": "0.36 V", "margin_high": "0.31 V"}),
)  # fmt: skip
def lever_faults(
    rest: float, full: float, low_limit: float, high_limit: float, supply: float, pull: str
) -> Outputs:
    """Put each broken wire's voltage against the limits."""
    if not rest < full or not low_limit < high_limit:
        raise CalculationError(
            "lever-faults: rest is not below full, or the low limit not below the high one.",
            "Give both pairs in rising order.",
        )
    low, high = low_limit > 0.0, supply > high_limit
    opened = low if pull == "down" else high
    return {
        "signal_open": opened,
        "signal_to_supply": high,
        "signal_to_ground": low,
        "ground_open": high,
        "supply_open": low,
        "all_detected": low and high,
        "margin_low": rest - low_limit,
        "margin_high": high_limit - full,
    }


@calculator(
    name="lever-pair",
    topic="levers",
    title="Agreement of two lever channels",
    inputs=(
        Input("first", "V", "reading of channel 1", at_least=0, at_most=12),
        Input("first_rest", "V", "channel 1 at rest", at_least=0, at_most=12, low=0.4, high=1.1),
        Input("first_full", "V", "channel 1 at full travel", at_least=0, at_most=12, low=1.5,
              high=4.6),
        Input("second", "V", "reading of channel 2", at_least=0, at_most=12),
        Input("second_rest", "V", "channel 2 at rest", at_least=0, at_most=12),
        Input("second_full", "V", "channel 2 at full travel", "below rest where it falls",
              at_least=0, at_most=12),
        Input("limit", "%", "largest difference in travel", above=0, at_most=100, default=10,
              low=2, high=15),
    ),
    outputs=(
        Output("first_travel", "%", "travel of channel 1"),
        Output("second_travel", "%", "travel of channel 2"),
        Output("difference", "%", "difference in travel"),
        Output("agrees", "", "within the limit", kind="truth"),
    ),
    formula="x = (u − rest)/(full − rest) for each; |x1 − x2| ≤ limit, for no longer than 100 ms",
    source="10 % of travel as published for racing cars' pedal sensors (seen); 100 ms (seen)",
    traps=("Channels with different slopes agree in travel, never in volts: scale both first.",),
    cautions=(LEVER_CAUTION,),
    example=Example(
        {"first": "2.5 V", "first_rest": "0.5 V", "first_full": "4.5 V", "second": "1.25 V",
         "second_rest": "0.5 V", "second_full": "2.0 V"},
        {"first_travel": "50.0 %", "second_travel": "50.0 %", "difference": "0.0 %"},
    ),
)  # fmt: skip
def lever_pair(
    first: float,
    first_rest: float,
    first_full: float,
    second: float,
    second_rest: float,
    second_full: float,
    limit: float,
) -> Outputs:
    """Turn both readings into travel before comparing them."""
    if min(abs(first_full - first_rest), abs(second_full - second_rest)) < LEAST_SPAN:
        raise CalculationError(
            "lever-pair: a channel has the same voltage at rest and at full travel.",
            "Measure both ends of each channel.",
        )
    one = (first - first_rest) / (first_full - first_rest)
    other = (second - second_rest) / (second_full - second_rest)
    difference = abs(one - other)
    difference = difference if difference > _ROUNDING else 0.0
    return {
        "first_travel": one,
        "second_travel": other,
        "difference": difference,
        "agrees": difference <= limit + _ROUNDING,
    }


@calculator(
    name="lever-linearity",
    topic="levers",
    title="Straightness of a lever from a sweep",
    inputs=(
        Input("travel", "%", "travel at each point", kind="numbers", count=3, at_least=-1e6,
              at_most=1e6, low=0, high=100),
        Input("voltage", "V", "voltage at each point", kind="numbers", count=3, at_least=-1e6,
              at_most=1e6, low=0, high=5),
    ),
    outputs=(
        Output("slope", "V/%", "slope of the least-squares line"),
        Output("intercept", "V", "voltage of the line at no travel"),
        Output("residual", "V", "residual standard deviation (n − 2)"),
        Output("deviation", "V", "largest distance from the least-squares line"),
        Output("least_squares", "%", "linearity about that line, of the span"),
        Output("terminal", "%", "linearity about the line through the ends, of the span"),
        Output("independent", "%", "linearity about the best line, of the span"),
        Output("rising", "", "voltage never falls with travel", kind="truth"),
    ),
    formula="y = a + b·x by least squares; s = √(SSR/(n − 2)); linearity = max|residual|/span",
    conventions=("span: of the voltages at the ends of each line", "three definitions, named"),
    source="Least squares; definitions of IEC 61298-2 (from memory); NIST StRD Norris (seen)",
    traps=("Independent, terminal-based and least-squares linearity are three numbers.",),
    example=Example(
        {"travel": "0 10 20 30 40 50 60 70 80 90 100",
         "voltage": "0.86 1.19 1.53 1.85 2.20 2.54 2.86 3.19 3.54 3.87 4.19"},
        {"intercept": "0.8590909 V", "least_squares": "0.33206 %", "terminal": "0.48048 %",
         "independent": "0.32051 %"},
        "scipy.stats.linregress, scipy.optimize.linprog",
    ),
)  # fmt: skip
def lever_linearity(travel: tuple[float, ...], voltage: tuple[float, ...]) -> Outputs:
    """Fit the three lines and take the largest distance from each."""
    if len(travel) != len(voltage):
        raise CalculationError(
            f"lever-linearity: {len(travel)} travels and {len(voltage)} voltages.",
            "Give one voltage for each travel.",
        )
    points = sorted(zip(travel, voltage, strict=True))
    (x_first, y_first), (x_last, y_last) = points[0], points[-1]
    slope, intercept = fit(points)
    ends = (y_last - y_first) / (x_last - x_first)
    best, half = narrowest(points)
    reach = x_last - x_first
    if min(abs(slope), abs(ends), abs(best)) * reach < LEAST_SPAN:
        raise CalculationError(
            "lever-linearity: the voltage does not change over the sweep.", "Check the sensor."
        )
    residuals = [y - intercept - slope * x for x, y in points]
    deviation = max(map(abs, residuals))
    terminal = max(abs(y - y_first - ends * (x - x_first)) for x, y in points)
    return {
        "slope": slope,
        "intercept": intercept,
        "residual": math.sqrt(math.fsum(each * each for each in residuals) / (len(points) - 2)),
        "deviation": deviation,
        "least_squares": deviation / abs(slope * reach),
        "terminal": terminal / abs(ends * reach),
        "independent": half / abs(best * reach),
        "rising": all(y0 <= y1 for (_, y0), (_, y1) in pairwise(points)),
    }


def fit(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Return slope and intercept of the least-squares line, computed about the means."""
    count = len(points)
    x_mean = math.fsum(x for x, _ in points) / count
    y_mean = math.fsum(y for _, y in points) / count
    square = math.fsum((x - x_mean) ** 2 for x, _ in points)
    if square == 0:
        raise CalculationError("All points have the same travel.", "Sweep the lever.")
    slope = math.fsum((x - x_mean) * (y - y_mean) for x, y in points) / square
    return slope, y_mean - slope * x_mean


def narrowest(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Return the slope of the narrowest strip over the sorted points, and half its height.

    The narrowest strip lies along an edge of the convex hull.
    """
    strips = []
    for hull in (_hull(points), _hull(points[::-1])):
        for (x0, y0), (x1, y1) in pairwise(hull):
            if x0 != x1:
                slope = (y1 - y0) / (x1 - x0)
                heights = [y - slope * x for x, y in points]
                strips.append(((max(heights) - min(heights)) / 2.0, slope))
    half, slope = min(strips)
    return slope, half


def _hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return one side of the convex hull (Andrew's monotone chain)."""
    hull: list[tuple[float, float]] = []
    for x, y in points:
        while len(hull) > 1:
            (x0, y0), (x1, y1) = hull[-2:]
            if (x1 - x0) * (y - y0) > (y1 - y0) * (x - x0):
                break
            hull.pop()
        hull.append((x, y))
    return hull
