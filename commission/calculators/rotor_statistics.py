"""Rotor-position angles: repeated detection runs, and the six sectors of a turn."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator
from commission.calculators.circular import TURN, Directions, bessel, directions, wrapped
from commission.errors import CalculationError


@calculator(
    name="sensor-spread",
    version=2,
    topic="rotor sensors",
    title="Mean and spread of repeated rotor-position runs",
    inputs=(
        Input("angles", "deg", "angle of each run, electrical", "separated by spaces",
              kind="numbers", count=2, at_least=-3600, at_most=3600, low=-180, high=360),
        Input("stored", "deg", "angle the controller holds, electrical", optional=True,
              at_least=-3600, at_most=3600, low=-180, high=360),
    ),
    outputs=(
        Output("mean", "deg", "circular mean, 0 to 360"),
        Output("spread", "deg", "sample standard deviation (n − 1)"),
        Output("population_spread", "deg", "circular standard deviation (n)"),
        Output("range", "deg", "smallest arc that holds all runs"),
        Output("resultant", "", "mean resultant length: 1 where all agree"),
        Output("runs", "", "number of runs", kind="integer"),
        Output("from_stored", "deg", "mean less stored angle, around the circle", needs="stored"),
    ),
    formula="C = Σcos θ/n, S = Σsin θ/n, R = √(C² + S²), mean = atan2(S, C); "
    "s_n = √(−2·ln R); s = s_n · √(n/(n − 1))",
    conventions=("electrical degrees", "circular standard deviation as in Mardia and Fisher"),
    source="Circular statistics (Mardia; Fisher); worked sets seen at wavemetrics.com and in the "
    "documentation of scipy",
    traps=(
        "Angles wrap: 358° and 2° average to 0°, not to 180°.",
        ("The circular standard deviation has no n − 1: with five runs it is 11 % too small for a "
        "repeatability limit."),
        "√(2·(1 − R)) is another statistic that some libraries call by the same name.",
    ),
    cautions=("A spread says how runs agree, not that they are right: a swapped wire repeats.",),
    example=Example(
        {"angles": "355 5 15"},
        {"mean": "5.000 deg", "resultant": "0.989872", "population_spread": "8.1754 deg",
         "range": "20.0 deg"},
        "published example of directional statistics (seen); scipy",
    ),
)  # fmt: skip
def sensor_spread(angles: tuple[float, ...], stored: float | None) -> Outputs:
    """Average on the circle."""
    found = _with_a_mean(angles)
    outputs: Outputs = {
        "mean": found.mean,
        "spread": found.deviation * bessel(len(angles)),
        "population_spread": found.deviation,
        "range": found.arc,
        "resultant": found.resultant,
        "runs": float(len(angles)),
    }
    if stored is not None:
        outputs["from_stored"] = wrapped(found.mean - stored)
    return outputs


def _with_a_mean(angles: tuple[float, ...]) -> Directions:
    """Return the statistics of `angles`; refuse directions that cancel, which have no mean."""
    found = directions(angles)
    if math.isnan(found.mean):
        raise CalculationError(
            "The directions cancel out; they have no mean.", "Repeat the runs with more current."
        )
    return found


SECTORS: Final = 6
_ROUNDING: Final = 1e-12
"""Radian; less is the rounding of degrees, no error of a sector."""
GOOD: Final = 5.0
"""Electrical degrees of sector error; common practice, no source."""
ACCEPTABLE: Final = 10.0
"""Electrical degrees; common practice, no source."""


@calculator(
    name="sector-error",
    topic="rotor sensors",
    title="Sector widths and offset from the six edges of a turn",
    inputs=(
        Input("edges", "deg", "angles at which a sensor changes, electrical", "six, in the order "
              "of turning", kind="numbers", count=SECTORS, at_least=-3600, at_most=3600, low=-180,
              high=360),
        Input("first_edge", "deg", "where the first edge should be", at_least=-360, at_most=360,
              default=30),
        Input("pole_pairs", "pairs", "pole pairs", kind="integer", at_least=1, at_most=100, low=3,
              high=30),
    ),
    outputs=(
        Output("largest_error", "deg", "largest distance of a sector from 60°"),
        Output("offset", "deg", "mean offset of the sector centres"),
        Output("mechanical_error", "deg", "largest error at the shaft"),
        Output("torque_loss", "%", "torque lost by the offset"),
        Output("grade", "", "good, acceptable or poor", kind="text"),
    ),
    formula="w_k = e_(k+1) − e_k; error = w − 60°; offset = circular mean of c_k − ideal; "
    "torque lost = 1 − cos(offset); mechanical = electrical/p",
    conventions=(
        "electrical degrees; good up to 5°, acceptable up to 10° of sector error",
        "torque lost: of a motor without saliency",
    ),
    source="Geometry; torque checked with motulator 0.5.0; grades are common practice, no source",
    traps=("A sector that wraps past 360° is not negative.",
           "One degree electrical is 1/p degree at the shaft: 0.2° with 5 pole pairs."),
    example=Example({"edges": "33 93 153 213 273 333", "pole_pairs": "5"},
                    {"largest_error": "0.0 deg", "offset": "3.0 deg", "torque_loss": "0.137 %"}),
)  # fmt: skip
def sector_error(edges: tuple[float, ...], first_edge: float, pole_pairs: float) -> Outputs:
    """Measure each sector around the circle, and its centre against the ideal."""
    if len(edges) != SECTORS:
        raise CalculationError(
            f"sector-error: {len(edges)} edges were given; a turn has six.",
            "Give one electrical turn.",
        )
    widths = [(edges[(k + 1) % SECTORS] - edges[k]) % TURN for k in range(SECTORS)]
    if abs(math.fsum(widths) - TURN) > 1e-6:  # noqa: PLR2004  rad: far below a reading's digit
        raise CalculationError(
            "sector-error: the edges do not go once around in one direction.",
            "Give them in the order of turning, forward.",
        )
    sixth = TURN / SECTORS
    errors = tuple(
        edges[k] + widths[k] / 2 - first_edge - (k + 0.5) * sixth for k in range(SECTORS)
    )
    largest = max(abs(width - sixth) for width in widths)
    largest = largest if largest > _ROUNDING else 0.0
    offset = wrapped(_with_a_mean(errors).mean)
    degrees = math.degrees(largest) - 1e-9
    return {
        "largest_error": largest,
        "offset": offset,
        "mechanical_error": largest / pole_pairs,
        "torque_loss": 1.0 - math.cos(offset),
        "grade": "good" if degrees <= GOOD else "acceptable" if degrees <= ACCEPTABLE else "poor",
    }
