"""The small plot: points where they belong, axes that say their ends."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from commission.tui.plot import Curve, Line, plot, plot_curves, round_span, sign_of

NUMBERS = st.floats(-1e6, 1e6, allow_nan=False)


def test_points_rise_from_the_lower_left_to_the_upper_right() -> None:
    drawn = plot([(0.0, 1.0), (5.0, 3.0), (10.0, 5.0)], 40, 8, Line(0.4, 1.0), ("lever", "voltage"))
    assert drawn[0].rstrip().endswith("●")
    assert drawn[0].lstrip().startswith("5.000 ┤")
    assert drawn[5].lstrip().startswith("1.000 ┤●")
    assert "·" in "".join(drawn)
    assert "voltage against lever" in drawn[-1]
    assert drawn[-1].split()[0] == "0"
    assert drawn[-1].split()[-1] == "10"


def test_a_single_point_is_drawn() -> None:
    assert sum(line.count("●") for line in plot([(1.0, 1.0)], 30, 6)) == 1


def test_without_points_or_room_nothing_is_drawn() -> None:
    assert plot([], 40, 8) == []
    assert plot([(1.0, 1.0)], 10, 8) == []
    assert plot([(1.0, 1.0)], 40, 3) == []


@given(st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=40), st.integers(24, 100))
def test_it_keeps_to_its_room(points: list[tuple[float, float]], width: int) -> None:
    drawn = plot(points, width, 9)
    assert len(drawn) == 9
    assert all(len(line) <= width for line in drawn)


def curve(way: Any, low: float, high: float, present: float | None = None) -> Curve:
    places = [low + (high - low) * at / 100 for at in range(101)]
    here = None if present is None else (present, way(present))
    return Curve(tuple((x, way(x)) for x in places if way(x) is not None), here)


def test_a_rising_curve_goes_from_corner_to_corner_and_marks_the_present_point() -> None:
    drawn = plot_curves([curve(lambda x: 2 * x, 0, 50, 25)], 60, 11, ("speed km/h", "force N"))
    assert len(drawn) == 11
    assert drawn[0].startswith("100 ┤")
    assert drawn[4].startswith(" 50 ┤")
    assert drawn[8].startswith("  0 ┤")
    assert drawn[4].count("●") == 1
    assert drawn[9].index("┴") == drawn[4].index("●")
    assert "force N against speed km/h" in drawn[10]
    assert drawn[10].split()[0] == "0"
    assert drawn[10].split()[-1] == "50"


def test_a_curve_that_leaps_stays_joined_and_one_with_a_gap_does_not() -> None:
    steep = plot_curves([curve(lambda x: float(x > 5), 0, 10)], 60, 11)
    assert all(any(sign in line for sign in ".·'") for line in steep[:9])
    gap = plot_curves([curve(lambda x: None if 4 < x < 6 else x, 0, 10)], 60, 11)
    assert "".join(gap[4].split("┤")[-1].split()) == ""


def test_a_second_curve_has_another_sign() -> None:
    drawn = "\n".join(plot_curves([curve(lambda x: x, 0, 9), curve(lambda x: 9 - x, 0, 9)], 60, 11))
    assert "+" in drawn
    assert sign_of(1) == "+"
    assert sign_of(0) in drawn


@given(NUMBERS, NUMBERS)
def test_a_round_axis_holds_all_values(one: float, other: float) -> None:
    low, high = round_span(min(one, other), max(one, other))
    slack = 1e-6 * (abs(low) + abs(high))
    assert low - slack <= min(one, other)
    assert max(one, other) <= high + slack
    assert high > low


@given(
    st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=40),
    st.integers(24, 100),
    st.integers(5, 20),
)
def test_curves_keep_to_their_room(
    points: list[tuple[float, float]], width: int, height: int
) -> None:
    drawn = plot_curves([Curve(tuple(sorted(points)), points[0])], width, height)
    assert len(drawn) == height
    assert all(len(line) <= width for line in drawn)
    assert "●" in "".join(drawn)
