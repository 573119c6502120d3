"""Tyres and chains: size of a wheel from its code, number of chain links."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator
from commission.errors import CalculationError

_LOADED: Final = (0.96, 0.98)
"""Rolling circumference over π times the diameter, loaded; common practice."""


@calculator(
    name="tyre-size",
    topic="driveline",
    title="Diameter and circumference from the tyre's code",
    inputs=(
        Input("width", "mm", "width; inch sizes as 3.50 in", above=0, low=50, high=300),
        Input("aspect", "%", "height over width", "100 for full inch sizes, 90 for low ones "
              "(4.10)", above=0, at_most=200, default=100, low=55, high=100),
        Input("rim", "in", "rim diameter", above=0, low=10, high=23),
    ),
    outputs=(
        Output("height", "mm", "height of the section"),
        Output("diameter", "mm", "design diameter"),
        Output("circumference", "mm", "π times the diameter, unloaded"),
        Output("rolling_least", "mm", "rolling circumference, at least about"),
        Output("rolling_most", "mm", "rolling circumference, at most about"),
    ),
    formula="H = W·A; D = rim + 2·H; loaded: 0.96 to 0.98 of π·D",
    source="Tyre designation; inch sizes as in a published fitment guide (seen); loaded share from "
    "memory",
    traps=(
        "π·D is not what rolls: loaded it is 2 to 4 % less. Measure the roll-out.",
        "Knobbly tyres of the same code are 1 to 3 % larger.",
    ),
    example=Example({"width": "90 mm", "aspect": "90 %", "rim": "21 in"},
                    {"height": "81.0 mm", "diameter": "695.4 mm", "circumference": "2184.7 mm"}),
)  # fmt: skip
def tyre_size(width: float, aspect: float, rim: float) -> Outputs:
    """Add the section's height twice to the rim."""
    height = width * aspect
    diameter = rim + 2.0 * height
    around = math.pi * diameter
    return {
        "height": height,
        "diameter": diameter,
        "circumference": around,
        "rolling_least": _LOADED[0] * around,
        "rolling_most": _LOADED[1] * around,
    }


@calculator(
    name="chain-length",
    topic="driveline",
    title="Chain links, and the centre distance they give",
    inputs=(
        Input("driving_teeth", "teeth", "teeth of the driving sprocket", kind="integer",
              at_least=4, at_most=1000, low=8, high=30),
        Input("driven_teeth", "teeth", "teeth of the driven sprocket", kind="integer", at_least=4,
              at_most=1000, low=25, high=80),
        Input("distance", "mm", "centre distance", above=0, low=300, high=800),
        Input("pitch", "mm", "pitch of the chain", "12.7 for 420 to 428, 15.875 for 520 to 530",
              above=0, default=12.7, low=6.35, high=19.05),
    ),
    outputs=(
        Output("exact", "", "links, exactly"),
        Output("links", "", "links, up to the next even number", kind="integer"),
        Output("distance_with", "mm", "centre distance with those links"),
        Output("driving_diameter", "mm", "pitch diameter, driving"),
        Output("driven_diameter", "mm", "pitch diameter, driven"),
    ),
    formula="L = 2C + (z1 + z2)/2 + ((z2 − z1)/2π)²/C, C in pitches; back: "
    "C = ¼·(s + √(s² − 8·((z2 − z1)/2π)²)), s = L − (z1 + z2)/2; d = pitch/sin(180°/z)",
    source="ISO 606, ISO 10823 (from memory); the formula was seen published twice",
    traps=(
        "An odd number of links needs a cranked link: round up to even.",
        "A toothed belt follows the same formula, without the even rule.",
    ),
    example=Example(
        {"driving_teeth": "13", "driven_teeth": "48", "distance": "560 mm"},
        {"exact": "119.393", "links": "120", "distance_with": "563.89 mm",
         "driving_diameter": "53.068 mm"},
    ),
)  # fmt: skip
def chain_length(
    driving_teeth: float, driven_teeth: float, distance: float, pitch: float
) -> Outputs:
    """Count the links, round up to even, and solve back for the distance."""
    driving, driven = (
        pitch / math.sin(math.pi / driving_teeth),
        pitch / math.sin(math.pi / driven_teeth),
    )
    if distance <= (driving + driven) / 2.0:
        raise CalculationError(
            f"chain-length: at {distance * 1e3:g} mm the sprockets touch.",
            f"The centre distance must be above {(driving + driven) * 500:.4g} mm.",
        )
    half = (driving_teeth + driven_teeth) / 2.0
    bend = ((driven_teeth - driving_teeth) / (2.0 * math.pi)) ** 2
    pitches = distance / pitch
    exact = 2.0 * pitches + half + bend / pitches
    links = 2.0 * math.ceil(exact / 2.0 - 1e-9)
    straight = links - half
    return {
        "exact": exact,
        "links": links,
        "distance_with": pitch * (straight + math.sqrt(straight**2 - 8.0 * bend)) / 4.0,
        "driving_diameter": driving,
        "driven_diameter": driven,
    }
