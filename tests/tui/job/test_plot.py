"""The small plot: points where they belong, axes that say their ends."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from commission.tui.job.plot import Line, plot

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
