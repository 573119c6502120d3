"""Angles on the circle: arcs, distances, digits and wrap-around."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.calculators.circular import TURN, arc, bessel, directions, distance, wrapped
from commission.calculators.typed import compute_typed

ANGLES = st.floats(-20, 20)


def degrees(*angles: float) -> list[float]:
    return [math.radians(angle) for angle in angles]


@pytest.mark.parametrize(
    ("angles", "expected"),
    [
        (degrees(358, 2), 4.0),
        (degrees(350, 0, 20), 30.0),
        (degrees(0, 120, 240), 240.0),
        (degrees(90, 90), 0.0),
        (degrees(-10, 370), 20.0),
    ],
)
def test_arc_is_the_smallest_that_holds_all(angles: list[float], expected: float) -> None:
    assert math.degrees(arc(angles)) == pytest.approx(expected, abs=1e-9)


@given(ANGLES, ANGLES, st.integers(-3, 3))
def test_distance_is_the_shorter_way_whatever_the_turns(
    one: float, other: float, turns: int
) -> None:
    found = distance(one, other)
    assert 0.0 <= found <= math.pi
    assert distance(other, one) == found
    assert distance(one + turns * TURN, other) == pytest.approx(found, abs=1e-9)
    assert math.cos(found) == pytest.approx(math.cos(one - other), abs=1e-9)


@given(ANGLES)
def test_wrapped_angle_is_the_same_direction(angle: float) -> None:
    assert -math.pi <= wrapped(angle) <= math.pi
    assert math.cos(wrapped(angle) - angle) == pytest.approx(1.0, abs=1e-12)


def test_directions_that_cancel_are_said_so() -> None:
    found = directions(degrees(0, 180))
    assert math.isnan(found.mean)
    assert (found.resultant, found.deviation) == (0.0, math.inf)


def test_one_value_has_no_sample_deviation() -> None:
    assert bessel(1) == 0.0
    assert bessel(5) == pytest.approx(math.sqrt(5 / 4))


def test_little_scatter_keeps_its_digits_in_the_calculator_too() -> None:
    """√(-2 ln R) by the length of the mean vector would read 0 or 2e-8 here."""
    typed = {"angles": "0.999999999 1 1.000000001 rad"}
    spread = compute_typed("sensor-spread", typed).result.outputs["spread"]
    assert spread == pytest.approx(1e-9, rel=1e-6)
