"""Fuses: the rating a continuous current asks for, and the pulses an element survives."""

from __future__ import annotations

from typing import Final

from commission.calculators.base import NO_PERMISSION, Example, Input, Output, Outputs, calculator

FUSE_CAUTIONS: Final = (
    NO_PERMISSION,
    (
        "A fuse protects the cable: its rating must not exceed what the cable carries, and its "
        "breaking capacity must exceed the pack's short-circuit current."
    ),
)


@calculator(
    name="fuse-rating",
    topic="wiring",
    title="Fuse rating for a continuous current, and its d.c. voltage",
    inputs=(
        Input("current", "A", "continuous current", above=0, low=1, high=500),
        Input("loading", "%", "share of the rating that may flow continuously", above=0,
              at_most=100, default=75, low=50, high=90),
        Input("temperature_factor", "", "factor for the ambient temperature", "from the fuse's "
              "data sheet; 1 at 25 °C", above=0, default=1, low=0.7, high=1.1),
        Input("full_voltage", "V", "pack fully charged", above=0, low=20, high=140),
        Input("fuse_voltage", "V", "d.c. voltage rating of the fuse", above=0, low=24, high=1000),
        Input("cable_current", "A", "what the cable carries continuously", optional=True, above=0,
              low=1, high=500),
    ),
    outputs=(
        Output("least_rating", "A", "least rating"),
        Output("voltage_suffices", "", "its d.c. rating covers the full pack", kind="truth"),
        Output("fits_cable", "", "the least rating is within what the cable carries", kind="truth",
               needs="cable_current"),
    ),
    formula="I_n ≥ I / (0.75 · K_T); U_n (d.c.) ≥ U_full",
    source="75 % rule at 25 °C (seen, EDN 26 September 1996)",
    traps=(
        "An a.c. voltage rating says nothing of d.c.: a d.c. arc has no zero to go out at.",
        "A vehicle fuse of 58 V or 70 V d.c. is wrong for 20 cells and more.",
        ("The fuse that is fitted is the next size up, 200 A for 187 A: that one must still be "
        "within what the cable carries."),
    ),
    cautions=FUSE_CAUTIONS,
    example=Example(
        {"current": "150 A", "full_voltage": "84 V", "fuse_voltage": "125 V"},
        {"least_rating": "200.0 A"},
    ),
)  # fmt: skip
def fuse_rating(
    current: float,
    loading: float,
    temperature_factor: float,
    full_voltage: float,
    fuse_voltage: float,
    cable_current: float | None,
) -> Outputs:
    """Raise the current by both derating factors."""
    least = current / (loading * temperature_factor)
    outputs: Outputs = {
        "least_rating": least,
        "voltage_suffices": fuse_voltage >= full_voltage,
    }
    if cable_current is not None:
        outputs["fits_cable"] = least <= cable_current
    return outputs


WAVEFORMS: Final = {
    "square": 1.0, "ramp": 1 / 3, "half-sine": 0.5, "quadratic": 0.2, "exponential": 0.5,
    "trapezoid": 1 / 3,
}  # fmt: skip
"""I²t over peak² times duration."""
PULSES: Final = {"100": 0.48, "1000": 0.38, "10000": 0.29, "100000": 0.22}
"""Share of the melting I²t that an element survives so many times."""


@calculator(
    name="fuse-pulse",
    topic="wiring",
    title="Melting I²t a fuse needs for repeated pulses",
    inputs=(
        Input("waveform", "", "shape of the pulse", kind="choice", choices=tuple(WAVEFORMS),
              optional=True),
        Input("peak", "A", "peak current", optional=True, above=0, high=20000),
        Input("duration", "s", "duration; for an exponential its time constant", optional=True,
              above=0, high=10),
        Input("let_through", "A2s", "I²t of the pulse, where it is known", optional=True, above=0),
        Input("end_current", "A", "current at the end, for a trapezoid", at_least=0, default=0),
        Input("pulses", "", "pulses in its life", kind="choice", choices=tuple(PULSES),
              default="100000"),
        Input("load_ratio", "%", "share of the melting I²t one pulse may reach",
              "stands in for the pulses", optional=True,
              above=0, at_most=100, low=15, high=75),
    ),
    outputs=(
        Output("pulse", "A2s", "I²t of the pulse"),
        Output("least_melting", "A2s", "least nominal melting I²t of the fuse"),
    ),
    formula="I²t: square i²t, ramp ⅓·i²t, half-sine ½·i²t, quadratic ⅕·i²t, exponential ½·i²·τ, "
    "trapezoid ⅓·(i² + i·i_end + i_end²)·t; fuse ≥ pulse / (0.22 for 100000, 0.29, 0.38, 0.48, "
    "or the load ratio)",
    source="A published fuse guide, p. 12 (seen)",
    traps=("Melting I²t and clearing I²t differ: arcing adds to the second.",),
    cautions=FUSE_CAUTIONS,
    one_of=(("waveform", "peak", "duration"), ("let_through",)),
    example=Example(
        {"waveform": "quadratic", "peak": "8 A", "duration": "4 ms"},
        {"pulse": "0.0512 A2s", "least_melting": "0.2327 A2s"},
        "a published worked example (from memory)",
    ),
)  # fmt: skip
def fuse_pulse(
    waveform: str | None,
    peak: float | None,
    duration: float | None,
    let_through: float | None,
    end_current: float,
    pulses: str,
    load_ratio: float | None,
) -> Outputs:
    """Integrate the square of the pulse, then derate for its repetitions."""
    if let_through is None:
        current = peak or 0.0
        square = current * current
        if waveform == "trapezoid":
            square += current * end_current + end_current * end_current
        let_through = WAVEFORMS[waveform or "square"] * square * (duration or 0.0)
    share = PULSES[pulses] if load_ratio is None else load_ratio
    return {"pulse": let_through, "least_melting": let_through / share}
