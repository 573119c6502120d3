"""Energy of a pack, and how far it goes."""

from __future__ import annotations

from commission.calculators.base import Curve, Example, Input, Output, Outputs, calculator


@calculator(
    name="pack-energy",
    topic="battery",
    title="Energy of a pack",
    inputs=(
        Input("voltage", "V", "nominal voltage", above=0, low=3, high=120),
        Input("capacity", "Ah", "rated capacity", above=0, low=1, high=200),
        Input("depth", "%", "share that is used", above=0, at_most=100, default=100, low=50),
    ),
    outputs=(
        Output("energy", "Wh", "rated energy"),
        Output("usable", "Wh", "energy of the share that is used"),
    ),
    formula="E = U_nominal · Q",
    source="49 CFR 171.8: watt-hour = rated ampere-hours × nominal volts (seen)",
    traps=("Full-charge voltage times capacity overstates the energy by about a sixth.",),
    example=Example({"voltage": "11.1 V", "capacity": "4400 mAh"}, {"energy": "48.8 Wh"},
                    "published with the same numbers (seen)"),
)  # fmt: skip
def pack_energy(voltage: float, capacity: float, depth: float) -> Outputs:
    """Multiply voltage and capacity."""
    return {"energy": voltage * capacity, "usable": voltage * capacity * depth}


@calculator(
    name="range",
    topic="battery",
    title="Range from energy and consumption",
    inputs=(
        Input("energy", "Wh", "rated energy of the pack", above=0, low=300, high=12000),
        Input("depth", "%", "share that is used", above=0, at_most=100, default=80, low=50),
        Input("consumption", "Wh/km", "consumption at the battery", "an amount in N counts too: "
              "1 N is 0.2778 Wh/km", above=0, low=10, high=120),
    ),
    outputs=(
        Output("distance", "km", "range"),
        Output("usable", "Wh", "energy used"),
    ),
    formula="s = E · depth / consumption",
    source="Energy balance; 1 N = 1/3.6 Wh/km",
    traps=("Consumption at the wheel leaves out the losses of motor, controller and chain.",),
    curve=Curve("consumption", ("distance",), 10, 100),
    example=Example({"energy": "2160 Wh", "consumption": "32 Wh/km"}, {"distance": "54.0 km"}),
)  # fmt: skip
def range_(energy: float, depth: float, consumption: float) -> Outputs:
    """Divide the energy used by the force it works against."""
    return {"distance": energy * depth / consumption, "usable": energy * depth}
