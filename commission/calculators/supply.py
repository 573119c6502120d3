"""The auxiliary supply: what its loads need, and pumps and fans."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import NO_PERMISSION, Example, Input, Output, Outputs, calculator
from commission.errors import CalculationError

MARGIN: Final = 1.25
"""A converter is chosen at least so much above its load; common practice, no source."""


@calculator(
    name="supply-budget",
    topic="supply",
    title="Converter for the auxiliary loads",
    inputs=(
        Input("loads", "W", "power of each load", "separated by spaces", kind="numbers",
              at_least=0, at_most=1e6, high=300),
        Input("duties", "%", "share of time of each load", "all 100 where left out",
              kind="numbers", optional=True, at_least=0, at_most=100),
        Input("output_voltage", "V", "voltage of the loads", above=0, default=12, low=5, high=14.4),
        Input("input_voltage", "V", "lowest pack voltage", above=0, low=20, high=120),
        Input("efficiency", "%", "efficiency of the converter", above=0, at_most=100, default=88,
              low=70, high=97),
    ),
    outputs=(
        Output("power", "W", "mean power of the loads"),
        Output("output_current", "A", "mean current of the loads"),
        Output("input_current", "A", "current from the pack"),
        Output("least_rating", "A", "least rating of the converter"),
        Output("peak_current", "A", "current with everything on"),
    ),
    formula="P = Σ load·duty; I_out = P/U_out; I_in = P/(η·U_in); rating ≥ 1.25·I_out",
    source="Power balance; margin of 25 %: common practice, no source",
    traps=(("The mean sizes the heat, the peak the fuse and the converter's limit: a horn on top "
           "of a lamp can trip a converter that the mean would pass."),),
    cautions=(NO_PERMISSION,),
    example=Example(
        {"loads": "35 5 24 18 12", "duties": "100 100 30 100 100", "input_voltage": "50 V"},
        {"power": "77.2 W", "output_current": "6.433 A", "input_current": "1.7545 A"},
    ),
)  # fmt: skip
def supply_budget(
    loads: tuple[float, ...],
    duties: tuple[float, ...] | None,
    output_voltage: float,
    input_voltage: float,
    efficiency: float,
) -> Outputs:
    """Add the loads, each by its share of time."""
    shares = duties or (1.0,) * len(loads)
    if len(shares) != len(loads):
        raise CalculationError(
            f"supply-budget: {len(loads)} loads and {len(shares)} duties.",
            "Give one duty for each load, or none.",
        )
    power = math.fsum(load * share for load, share in zip(loads, shares, strict=True))
    return {
        "power": power,
        "output_current": power / output_voltage,
        "input_current": power / (efficiency * input_voltage),
        "least_rating": MARGIN * power / output_voltage,
        "peak_current": math.fsum(loads) / output_voltage,
    }


@calculator(
    name="fan-power",
    topic="supply",
    title="Pump or fan: current, starting current, power at a lower speed",
    inputs=(
        Input("power", "W", "nameplate power", above=0, low=1, high=200),
        Input("voltage", "V", "voltage", above=0, default=12, low=5, high=60),
        Input("starting", "", "starting over running current", at_least=1, at_most=20, default=4,
              low=3, high=5),
        Input("speed", "%", "share of the full speed", above=0, at_most=150, default=100, low=30,
              high=100),
    ),
    outputs=(
        Output("current", "A", "running current at full speed"),
        Output("starting_current", "A", "starting (locked) current"),
        Output("flow", "%", "flow at that speed"),
        Output("pressure", "%", "pressure at that speed"),
        Output("power_share", "%", "power at that speed"),
    ),
    formula="I = P/U; flow ∝ n, pressure ∝ n², power ∝ n³",
    source="Affinity laws (seen with numbers); 3 to 5 times the current to start: common "
    "practice, no source",
    traps=("The fuse must bear the start, and the output the locked rotor.",),
    cautions=(NO_PERMISSION,),
    example=Example({"power": "18 W", "speed": "80 %"},
                    {"current": "1.50 A", "power_share": "51.2 %"}),
)  # fmt: skip
def fan_power(power: float, voltage: float, starting: float, speed: float) -> Outputs:
    """Apply the affinity laws."""
    current = power / voltage
    return {
        "current": current,
        "starting_current": current * starting,
        "flow": speed,
        "pressure": speed * speed,
        "power_share": speed**3,
    }
