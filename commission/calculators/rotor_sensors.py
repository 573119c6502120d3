"""Rotor-position sensors as three-bit states: order, a dead one, the turning direction."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

from commission.calculators.base import Example, Input, Output, Outputs, calculator
from commission.errors import CalculationError

if TYPE_CHECKING:
    from collections.abc import Mapping

ORDERS: Final[Mapping[str, tuple[int, ...]]] = {"120": (5, 4, 6, 2, 3, 1), "60": (7, 3, 1, 0, 4, 6)}
"""States of one electrical turn forward, by placement; the first sensor is the bit of value 4."""
_NAMES: Final = ("C", "B", "A")
_INTEGER_STATE: Final = "0 to 7; 4 for A high, 2 for B, 1 for C"


def step_between(old: int, new: int, order: tuple[int, ...]) -> str:
    """Return how the rotor went from one state to the next."""
    if old not in order or new not in order:
        return "invalid"
    step = (order.index(new) - order.index(old)) % 6
    return {0: "none", 1: "forward", 5: "reverse"}.get(step, "missed")


@calculator(
    name="turning-direction",
    topic="rotor sensors",
    title="Turning direction from two successive sensor states",
    inputs=(
        Input("old_state", "", "state before", _INTEGER_STATE, kind="integer", at_least=0,
              at_most=7),
        Input("new_state", "", "state after", _INTEGER_STATE, kind="integer", at_least=0,
              at_most=7),
        Input("placement", "", "placement in electrical degrees", kind="choice",
              choices=tuple(ORDERS), default="120"),
    ),
    outputs=(
        Output("direction", "", "forward, reverse, none, missed or invalid", kind="text"),
        Output("legal", "", "a step that a turning rotor can make", kind="truth"),
    ),
    formula="step = (place of new − place of old) mod 6; 1 forward, 5 reverse, 2 to 4 missed",
    conventions=("forward is 5-4-6-2-3-1 for 120°, 7-3-1-0-4-6 for 60°",),
    source="Order seen in two published motor block sets; pairs counted by enumeration",
    traps=(
        ("Swapping any two sensor wires reverses the order; so does swapping two phases of the "
        "motor. Both together agree again and hide each other."),
    ),
    cautions=("Wheel off the ground: a wrong order can start with a jerk.",),
    example=Example({"old_state": "5", "new_state": "4"}, {"direction": "forward"}),
)  # fmt: skip
def turning_direction(old_state: float, new_state: float, placement: str) -> Outputs:
    """Compare the places of both states in the order."""
    direction = step_between(int(old_state), int(new_state), ORDERS[placement])
    return {"direction": direction, "legal": direction in {"none", "forward", "reverse"}}


@calculator(
    name="sensor-sequence",
    version=2,
    topic="rotor sensors",
    title="Placement, order and health from the states of one turn",
    inputs=(
        Input("states", "", "states in the order seen", "a whole turn; 4 for A high, 2 "
              "for B, 1 for C", kind="numbers", count=1, at_least=0, at_most=7),
    ),
    outputs=(
        Output("placement", "", "120, 60 or unknown", kind="text"),
        Output("direction", "", "forward, reverse or disordered", kind="text"),
        Output("dead", "", "sensors that never change", kind="text"),
        Output("sound", "", "six valid states in one order", kind="truth"),
    ),
    formula="120°: 5-4-6-2-3-1, never 0 or 7; 60°: 7-3-1-0-4-6, never 2 or 5; reverse is the "
    "mirror",
    conventions=("sensor A is the bit of value 4", "repeated states are one"),
    source="Tables seen in published motor block sets; 60° by the geometry of the axes",
    traps=(
        "States 0 or 7 are a fault for 120° placement only: with 60° both belong to a sound turn.",
        "0 or 7 without the other is a dead sensor, whatever the placement.",
        "Inverting the middle sensor turns one placement into the other.",
    ),
    cautions=("Turn the wheel by hand, with the controller powered and the throttle unplugged.",),
    example=Example({"states": "5 4 6 2 3 1"}, {"placement": "120", "direction": "forward",
                                                "dead": "none"}),
)  # fmt: skip
def sensor_sequence(states: tuple[float, ...]) -> Outputs:
    """Judge the set of states first, then the steps between them."""
    if any(state % 1.0 for state in states):
        raise CalculationError(
            "sensor-sequence: a state is no whole number.", "Give states from 0 to 7, like 5 4 6."
        )
    seen = [int(state) for state in states]
    dead = _dead(seen)
    placement = next((name for name, order in ORDERS.items() if set(seen) == set(order)), "unknown")
    steps = set()
    if placement != "unknown":
        # Not from the last back to the first: nobody stops the wheel just where it began.
        steps = {step_between(old, new, ORDERS[placement]) for old, new in pairwise(seen)}
        steps -= {"none"}
    direction = steps.pop() if len(steps) == 1 and steps <= {"forward", "reverse"} else "disordered"
    return {
        "placement": placement,
        "direction": direction,
        "dead": dead,
        "sound": placement != "unknown" and direction != "disordered",
    }


def _dead(states: list[int]) -> str:
    """Return which sensors keep one level: `A low, C high`, or `none`."""
    stuck = []
    for bit in (2, 1, 0):
        levels = {state >> bit & 1 for state in states}
        if len(levels) == 1:
            stuck.append(f"{_NAMES[bit]} {'high' if levels.pop() else 'low'}")
    return ", ".join(stuck) or "none"
